// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/entry_rows.h"

#include "core/base/version.h"
#include "core/session/store/readout_rows.h"
#include "core/session/store/sql_row.h"

namespace twinlamp::session::store {

namespace {

// The columns of each kind, in the order in which its row is bound and read.
constexpr std::string_view rigColumns
    = "id, place, name, camera, capture_rate_num, capture_rate_den, exposure_ms, line_time_us,"
      " zero_ms, zero_uncertainty_ms, shortest_hold_ns, notes";
constexpr std::string_view settingColumns
    = "id, place, name, link_camera, link_frame_rate_num, link_frame_rate_den, link_exposure_ms,"
      " width_px, height_px, bit_rate_mbit, channel_mhz, channel_width_mhz, output_power_mw,"
      " distance_m, attenuation_db, interference, goggle, brightness_percent, panel_rate_hz,"
      " lamp_place, warm_up_minutes, antenna, firmware, notes";
constexpr std::string_view runColumns = "id, place, setting_id, name, notes";

template<typename T>
std::vector<T> loadAll(SQLite::Database& database, const char* table, std::string_view columns,
    void (*read)(Reader&, T&))
{
    SQLite::Statement select(
        database, "SELECT " + std::string(columns) + " FROM " + table + " ORDER BY place, id");
    std::vector<T> entries;
    while (select.executeStep()) {
        Reader reader(select);
        read(reader, entries.emplace_back());
    }
    return entries;
}

void removeRow(SQLite::Database& database, const char* table, std::int64_t id)
{
    SQLite::Statement statement(database, std::string("DELETE FROM ") + table + " WHERE id = ?");
    Binder binder(statement);
    (binder << id).run();
}

void readRig(Reader& row, Rig& rig)
{
    row >> rig.id >> rig.place >> rig.name >> rig.camera >> rig.captureRate >> rig.exposureMs
        >> rig.lineTimeUs >> rig.zeroMs >> rig.zeroUncertaintyMs >> rig.shortestHold >> rig.notes;
}

void readSetting(Reader& row, LinkSetting& setting)
{
    Conditions& c = setting.conditions;
    row >> setting.id >> setting.place >> setting.name >> c.linkCamera >> c.linkFrameRate
        >> c.linkExposureMs >> c.widthPx >> c.heightPx >> c.bitRateMbit >> c.channelMhz
        >> c.channelWidthMhz >> c.outputPowerMw >> c.distanceM >> c.attenuationDb >> c.interference
        >> c.goggle >> c.brightnessPercent >> c.panelRateHz >> c.lampPlace >> c.warmUpMinutes
        >> c.antenna >> c.firmware >> c.notes;
}

void readRun(Reader& row, Run& run)
{
    row >> run.id >> run.place >> run.setting >> run.name >> run.notes;
}

} // namespace

void insertInfo(SQLite::Database& database, const SessionInfo& info)
{
    SQLite::Statement insert(database,
        "INSERT INTO session (one, revision, name, notes, late_limit_ns, program_version)"
        " VALUES (1, 0, ?, ?, ?, ?)");
    Binder row(insert);
    (row << info.name << info.notes << info.lateLimit << version()).run();
}

void updateInfo(SQLite::Database& database, const SessionInfo& info)
{
    SQLite::Statement update(database, "UPDATE session SET name = ?, notes = ?, late_limit_ns = ?");
    Binder row(update);
    (row << info.name << info.notes << info.lateLimit).run();
}

void loadInfo(SQLite::Database& database, Session& session)
{
    SQLite::Statement select(database, "SELECT name, notes, late_limit_ns FROM session");
    if (!select.executeStep()) {
        throw DamagedSession("its first table is empty");
    }
    Reader row(select);
    row >> session.name >> session.notes >> session.lateLimit;
}

void write(SQLite::Database& database, const Rig& rig)
{
    SQLite::Statement statement(database, upsert("rigs", rigColumns));
    Binder row(statement);
    row << rig.id << rig.place << rig.name << rig.camera << rig.captureRate << rig.exposureMs
        << rig.lineTimeUs << rig.zeroMs << rig.zeroUncertaintyMs << rig.shortestHold << rig.notes;
    row.run();
}

void write(SQLite::Database& database, const LinkSetting& setting)
{
    const Conditions& c = setting.conditions;
    SQLite::Statement statement(database, upsert("settings", settingColumns));
    Binder row(statement);
    row << setting.id << setting.place << setting.name << c.linkCamera << c.linkFrameRate
        << c.linkExposureMs << c.widthPx << c.heightPx << c.bitRateMbit << c.channelMhz
        << c.channelWidthMhz << c.outputPowerMw << c.distanceM << c.attenuationDb << c.interference
        << c.goggle << c.brightnessPercent << c.panelRateHz << c.lampPlace << c.warmUpMinutes
        << c.antenna << c.firmware << c.notes;
    row.run();
    writeReadouts(database, setting.id, setting.readouts);
}

void write(SQLite::Database& database, const Run& run)
{
    SQLite::Statement statement(database, upsert("runs", runColumns));
    Binder row(statement);
    (row << run.id << run.place << run.setting << run.name << run.notes).run();
}

void remove(SQLite::Database& database, RigId id) { removeRow(database, "rigs", id.value); }

void remove(SQLite::Database& database, SettingId id) { removeRow(database, "settings", id.value); }

void remove(SQLite::Database& database, RunId id) { removeRow(database, "runs", id.value); }

std::vector<Rig> loadRigs(SQLite::Database& database)
{
    return loadAll<Rig>(database, "rigs", rigColumns, readRig);
}

std::vector<LinkSetting> loadSettings(SQLite::Database& database)
{
    auto settings = loadAll<LinkSetting>(database, "settings", settingColumns, readSetting);
    auto readouts = loadSettingReadouts(database);
    for (LinkSetting& setting : settings) {
        setting.readouts = std::move(readouts[setting.id.value]);
    }
    return settings;
}

std::vector<Run> loadRuns(SQLite::Database& database)
{
    return loadAll<Run>(database, "runs", runColumns, readRun);
}

std::int64_t revisionOf(SQLite::Database& database)
{
    return database.execAndGet("SELECT revision FROM session").getInt64();
}

void countRevision(SQLite::Database& database)
{
    database.exec("UPDATE session SET revision = revision + 1");
}

} // namespace twinlamp::session::store
