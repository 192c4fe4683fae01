// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/readout_rows.h"

#include "core/session/store/sql_row.h"

namespace twinlamp::session::store {

namespace {

void deleteOf(SQLite::Database& database, const char* sql, std::int64_t id)
{
    SQLite::Statement statement(database, sql);
    Binder row(statement);
    (row << id).run();
}

} // namespace

void writeReadouts(
    SQLite::Database& database, ClipId clip, const std::vector<PressReadout>& readouts)
{
    deleteOf(database, "DELETE FROM press_readouts WHERE clip_id = ?", clip.value);
    SQLite::Statement insert(
        database, insertInto("press_readouts", "clip_id, press_index, latency_ms"));
    for (const PressReadout& readout : readouts) {
        Binder row(insert);
        (row << clip << readout.press << readout.latencyMs).run();
    }
}

void writeReadouts(
    SQLite::Database& database, SettingId setting, const std::vector<SettingReadout>& readouts)
{
    deleteOf(database, "DELETE FROM setting_readouts WHERE setting_id = ?", setting.value);
    SQLite::Statement insert(
        database, insertInto("setting_readouts", "setting_id, number, latency_ms, note"));
    std::int64_t number = 0;
    for (const SettingReadout& readout : readouts) {
        Binder row(insert);
        (row << setting << number++ << readout.latencyMs << readout.note).run();
    }
}

std::unordered_map<std::int64_t, std::vector<PressReadout>> loadPressReadouts(
    SQLite::Database& database)
{
    SQLite::Statement select(database,
        "SELECT clip_id, press_index, latency_ms FROM press_readouts"
        " ORDER BY clip_id, press_index");
    std::unordered_map<std::int64_t, std::vector<PressReadout>> all;
    while (select.executeStep()) {
        Reader row(select);
        std::int64_t clip = 0;
        PressReadout readout;
        row >> clip >> readout.press >> readout.latencyMs;
        all[clip].push_back(readout);
    }
    return all;
}

std::unordered_map<std::int64_t, std::vector<SettingReadout>> loadSettingReadouts(
    SQLite::Database& database)
{
    SQLite::Statement select(database,
        "SELECT setting_id, latency_ms, note FROM setting_readouts ORDER BY setting_id, number");
    std::unordered_map<std::int64_t, std::vector<SettingReadout>> all;
    while (select.executeStep()) {
        Reader row(select);
        std::int64_t setting = 0;
        SettingReadout readout;
        row >> setting >> readout.latencyMs >> readout.note;
        all[setting].push_back(std::move(readout));
    }
    return all;
}

} // namespace twinlamp::session::store
