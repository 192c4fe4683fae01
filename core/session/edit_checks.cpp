// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_parts.h"

#include <algorithm>

namespace twinlamp::session {

namespace {

using namespace parts;

/// A day that the calendar may hold, written YYYY-MM-DD.
bool isIsoDay(const std::string& text)
{
    constexpr std::string_view shape = "dddd-dd-dd";
    if (text.size() != shape.size()) {
        return false;
    }
    for (std::size_t i = 0; i < shape.size(); ++i) {
        const bool isDigit = text[i] >= '0' && text[i] <= '9';
        if (shape[i] == 'd' ? !isDigit : text[i] != '-') {
            return false;
        }
    }
    const int month = (text[5] - '0') * 10 + text[6] - '0';
    const int day = (text[8] - '0') * 10 + text[9] - '0';
    return month >= 1 && month <= 12 && day >= 1 && day <= 31;
}

} // namespace

Result<Edit> addRigCheck(const Session& session, RigCheck check)
{
    const Rig* rig = find(session, check.rig);
    if (rig == nullptr) {
        return noSuchEntry("rig");
    }
    if (!check.id || find(session, check.id) != nullptr) {
        return invalid("the new check of " + check.result.file + " has no id of its own");
    }
    if (!isIsoDay(check.date)) {
        return invalid("\"" + check.date + "\" is no date; write it as YYYY-MM-DD");
    }
    check.place = lastPlace(session.rigChecks);
    Sentence label {check.result.kind() == CheckKind::Zero ? "edit-file-zero-check"
                                                           : "edit-file-time-base-check",
        {check.result.file, rig->name}};
    return Edit {std::move(label), {EntryChange<RigCheck> {std::nullopt, std::move(check)}}, {}};
}

Result<Edit> removeRigCheck(const Session& session, RigCheckId id)
{
    const RigCheck* check = find(session, id);
    if (check == nullptr) {
        return noSuchEntry("rig check");
    }
    const Rig* rig = find(session, check->rig);
    return Edit {
        {"edit-remove-rig-check", {check->date, rig == nullptr ? std::string {} : rig->name}},
        {EntryChange<RigCheck> {*check, std::nullopt}}, {}};
}

} // namespace twinlamp::session
