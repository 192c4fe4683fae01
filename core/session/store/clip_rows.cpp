// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/clip_rows.h"

#include "core/session/store/measurement_rows.h"
#include "core/session/store/readout_rows.h"
#include "core/session/store/sql_row.h"

namespace twinlamp::session::store {

namespace {

constexpr std::string_view clipColumns
    = "id, place, run_id, rig_id, relative_path, absolute_path, sha256, size_bytes, notes";

void writeRow(SQLite::Database& database, const Clip& clip)
{
    SQLite::Statement statement(database, upsert("clips", clipColumns));
    Binder row(statement);
    row << clip.id << clip.place << clip.run;
    row.orNull(clip.rig);
    row << clip.file.relativePath << clip.file.absolutePath << clip.file.sha256
        << clip.file.sizeBytes << clip.notes;
    row.run();
}

void readRow(Reader& row, Clip& clip)
{
    row >> clip.id >> clip.place >> clip.run;
    if (row.isNull()) {
        row.skip(1);
    } else {
        row >> clip.rig;
    }
    row >> clip.file.relativePath >> clip.file.absolutePath >> clip.file.sha256
        >> clip.file.sizeBytes >> clip.notes;
}

} // namespace

void write(SQLite::Database& database, const Clip& clip, const std::optional<Clip>& before)
{
    writeRow(database, clip);
    const ClipKey key = clip.id.value;
    if (!before || before->options != clip.options) {
        writeOptions(database, key, "wanted", clip.options);
    }
    if (!before || before->measurement != clip.measurement) {
        writeMeasurement(database, key, clip.measurement);
    }
    if (!before || before->corrections != clip.corrections) {
        writeCorrections(database, key, clip.corrections);
    }
    if (!before || before->readouts != clip.readouts) {
        writeReadouts(database, clip.id, clip.readouts);
    }
}

void remove(SQLite::Database& database, ClipId id)
{
    SQLite::Statement statement(database, "DELETE FROM clips WHERE id = ?");
    Binder row(statement);
    (row << id).run();
}

std::vector<Clip> loadClips(SQLite::Database& database)
{
    auto wanted = loadOptions(database, "wanted");
    auto measurements = loadMeasurements(database);
    auto corrections = loadCorrections(database);
    auto readouts = loadPressReadouts(database);
    SQLite::Statement select(
        database, "SELECT " + std::string(clipColumns) + " FROM clips ORDER BY place, id");
    std::vector<Clip> clips;
    while (select.executeStep()) {
        Reader row(select);
        Clip& clip = clips.emplace_back();
        readRow(row, clip);
        const ClipKey key = clip.id.value;
        clip.options = wanted[key];
        if (const auto found = measurements.find(key); found != measurements.end()) {
            clip.measurement = SharedValue<ClipMeasurement>(std::move(found->second));
        }
        clip.corrections = std::move(corrections[key]);
        clip.readouts = std::move(readouts[key]);
    }
    return clips;
}

} // namespace twinlamp::session::store
