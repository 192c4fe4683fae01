// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/history.h"

#include "core/base/version.h"
#include "core/session/dates.h"
#include "core/session/entry_fields.h"

#include <algorithm>

namespace twinlamp::session {

namespace {

std::optional<std::string> orNothing(const std::string& text)
{
    return text.empty() ? std::nullopt : std::optional<std::string>(text);
}

const std::string* textIn(const Fields& fields, const std::string& name)
{
    const auto found = std::ranges::find(fields, name, &NamedField::name);
    return found == fields.end() ? nullptr : &found->text;
}

/// Which entry the differences belong to.
struct Heading
{
    std::string kind;
    std::string entry;
};

/// One change for each text that differs; names of `before` first, then those that are only in
/// `after`.
void addDifferences(std::vector<FieldChange>& changes, const Heading& heading, const Fields& before,
    const Fields& after)
{
    for (const NamedField& old : before) {
        const std::string* now = textIn(after, old.name);
        const std::string text = now == nullptr ? std::string() : *now;
        if (text != old.text) {
            changes.push_back(
                {heading.kind, heading.entry, old.name, orNothing(old.text), orNothing(text)});
        }
    }
    for (const NamedField& now : after) {
        if (textIn(before, now.name) == nullptr && !now.text.empty()) {
            changes.push_back(
                {heading.kind, heading.entry, now.name, std::nullopt, orNothing(now.text)});
        }
    }
}

/// Lists what each change of an edit does; names come from the session in which the entry is.
struct Teller
{
    const Session& before;
    const Session& after;
    std::vector<FieldChange>& changes;

    void operator()(const InfoChange& change) const
    {
        addDifferences(changes, {"session", change.after.name}, fieldsOf(change.before),
            fieldsOf(change.after));
    }

    void operator()(const EntryChange<Rig>& change) const
    {
        tell(
            "rig", change, [](const Rig& rig, const Session&) { return rig.name; },
            [](const Rig& rig, const Session&) { return fieldsOf(rig); });
    }

    void operator()(const EntryChange<LinkSetting>& change) const
    {
        tell(
            "link-setting", change,
            [](const LinkSetting& setting, const Session&) { return setting.name; },
            [](const LinkSetting& setting, const Session&) { return fieldsOf(setting); });
    }

    void operator()(const EntryChange<Run>& change) const
    {
        tell("run", change, titleOf,
            [](const Run& run, const Session& in) { return fieldsOf(run, in); });
    }

    void operator()(const EntryChange<Clip>& change) const
    {
        const std::size_t first = changes.size();
        tell(
            "clip", change, [](const Clip& clip, const Session&) { return fileNameOf(clip); },
            [](const Clip& clip, const Session& in) { return fieldsOf(clip, in); });
        tellNewMeasurement(change, first);
    }

    void operator()(const EntryChange<RigCheck>& change) const
    {
        tell(
            "rig-check", change,
            [](const RigCheck& check, const Session&) {
                return check.result.file + " of " + check.date;
            },
            [](const RigCheck& check, const Session& in) { return fieldsOf(check, in); });
    }

private:
    template<typename T, typename Title, typename List>
    void tell(const char* kind, const EntryChange<T>& change, Title title, List list) const
    {
        const std::string name
            = change.before ? title(*change.before, before) : title(*change.after, after);
        addDifferences(changes, {kind, name},
            change.before ? list(*change.before, before) : Fields {},
            change.after ? list(*change.after, after) : Fields {});
    }

    /// Other figures in the same one line are a change all the same.
    void tellNewMeasurement(const EntryChange<Clip>& change, std::size_t first) const
    {
        const bool measuredAnew = change.before && change.after && change.before->measurement
            && change.after->measurement
            && !change.before->measurement.sharesWith(change.after->measurement)
            && change.before->measurement->presses != change.after->measurement->presses;
        const bool told = std::any_of(changes.begin() + static_cast<std::ptrdiff_t>(first),
            changes.end(), [](const FieldChange& each) { return each.field == "measurement"; });
        if (measuredAnew && !told) {
            const std::string text = measurementText(change.after->measurement);
            changes.push_back({"clip", fileNameOf(*change.after), "measurement",
                measurementText(change.before->measurement), text + ", other figures"});
        }
    }
};

} // namespace

std::vector<FieldChange> fieldChanges(const Edit& edit, const Session& before, const Session& after)
{
    std::vector<FieldChange> changes;
    for (const Change& change : edit.changes) {
        std::visit(Teller {before, after, changes}, change);
    }
    return changes;
}

HistoryEntry historyEntry(
    const Edit& edit, const Session& before, const Session& after, bool takenBack)
{
    static const std::string who = account(); // may ask a server: once is enough
    return {randomIdValue(), nowUtc(), who, std::string(version()), edit.label, takenBack,
        fieldChanges(edit, before, after)};
}

} // namespace twinlamp::session
