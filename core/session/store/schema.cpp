// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/schema.h"

#include "core/session/store/database.h"
#include "core/session/store/sql_row.h"

#include <array>
#include <string>

namespace twinlamp::session::store {

namespace {

/// Instants and latencies are integers of ns (`_ns`); settings that people type keep their unit and
/// are REAL. References are checked at the end of a transaction: an edit may touch entries in any
/// order.
constexpr const char* entriesOfVersion1 = R"sql(
CREATE TABLE session (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    revision INTEGER NOT NULL,
    name TEXT NOT NULL,
    notes TEXT NOT NULL,
    late_limit_ns INTEGER,
    program_version TEXT NOT NULL
) STRICT;

CREATE TABLE rigs (
    id INTEGER PRIMARY KEY,
    place INTEGER NOT NULL,
    name TEXT NOT NULL,
    camera TEXT NOT NULL,
    capture_rate_num INTEGER,
    capture_rate_den INTEGER,
    exposure_ms REAL,
    line_time_us REAL,
    zero_ms REAL,
    zero_uncertainty_ms REAL,
    notes TEXT NOT NULL
) STRICT;

CREATE TABLE settings (
    id INTEGER PRIMARY KEY,
    place INTEGER NOT NULL,
    name TEXT NOT NULL,
    link_camera TEXT NOT NULL,
    link_frame_rate_num INTEGER,
    link_frame_rate_den INTEGER,
    link_exposure_ms REAL,
    width_px INTEGER,
    height_px INTEGER,
    bit_rate_mbit REAL,
    channel_mhz REAL,
    channel_width_mhz REAL,
    output_power_mw REAL,
    distance_m REAL,
    attenuation_db REAL,
    interference TEXT NOT NULL,
    goggle TEXT NOT NULL,
    brightness_percent REAL,
    panel_rate_hz REAL,
    lamp_place TEXT NOT NULL,
    warm_up_minutes REAL,
    antenna TEXT NOT NULL,
    firmware TEXT NOT NULL,
    notes TEXT NOT NULL
) STRICT;

CREATE TABLE runs (
    id INTEGER PRIMARY KEY,
    place INTEGER NOT NULL,
    setting_id INTEGER NOT NULL REFERENCES settings(id) DEFERRABLE INITIALLY DEFERRED,
    name TEXT NOT NULL,
    notes TEXT NOT NULL
) STRICT;
CREATE INDEX runs_of_setting ON runs(setting_id);

CREATE TABLE clips (
    id INTEGER PRIMARY KEY,
    place INTEGER NOT NULL,
    run_id INTEGER NOT NULL REFERENCES runs(id) DEFERRABLE INITIALLY DEFERRED,
    rig_id INTEGER REFERENCES rigs(id) DEFERRABLE INITIALLY DEFERRED,
    relative_path TEXT NOT NULL,
    absolute_path TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    size_bytes INTEGER NOT NULL,
    notes TEXT NOT NULL
) STRICT;
CREATE INDEX clips_of_run ON clips(run_id);
CREATE INDEX clips_by_hash ON clips(sha256);
)sql";

constexpr const char* measurementsOfVersion1 = R"sql(
CREATE TABLE measure_options (
    clip_id INTEGER NOT NULL REFERENCES clips(id) ON DELETE CASCADE,
    role TEXT NOT NULL CHECK (role IN ('wanted', 'used')),
    reference_x INTEGER, reference_y INTEGER, reference_width INTEGER, reference_height INTEGER,
    goggle_x INTEGER, goggle_y INTEGER, goggle_width INTEGER, goggle_height INTEGER,
    panel_x INTEGER, panel_y INTEGER, panel_width INTEGER, panel_height INTEGER,
    without_panel INTEGER NOT NULL,
    capture_rate_num INTEGER,
    capture_rate_den INTEGER,
    capture_rate_source TEXT NOT NULL,
    exposure_ms REAL,
    line_time_us REAL,
    link_frame_rate_num INTEGER,
    link_frame_rate_den INTEGER,
    edges TEXT NOT NULL,
    search_ms REAL NOT NULL,
    zero_ms REAL NOT NULL,
    zero_uncertainty_ms REAL NOT NULL,
    scan TEXT NOT NULL,
    shortest_hold_ms REAL NOT NULL,
    PRIMARY KEY (clip_id, role)
) STRICT, WITHOUT ROWID;

CREATE TABLE traces (
    id INTEGER PRIMARY KEY,
    frames INTEGER NOT NULL,
    exposure_start_ns BLOB NOT NULL,
    reference BLOB NOT NULL,
    goggle BLOB NOT NULL,
    panel BLOB NOT NULL
) STRICT;

CREATE TABLE measurements (
    clip_id INTEGER PRIMARY KEY REFERENCES clips(id) ON DELETE CASCADE,
    file TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    frames INTEGER NOT NULL,
    width_px INTEGER NOT NULL,
    height_px INTEGER NOT NULL,
    rotation_deg INTEGER NOT NULL,
    play_rate_hz REAL NOT NULL,
    capture_rate_num INTEGER NOT NULL,
    capture_rate_den INTEGER NOT NULL,
    capture_rate_source TEXT NOT NULL,
    lost_frames INTEGER NOT NULL,
    exposure_ms REAL,
    exposure_source TEXT NOT NULL,
    line_time_us REAL,
    reference_x INTEGER NOT NULL, reference_y INTEGER NOT NULL,
    reference_width INTEGER NOT NULL, reference_height INTEGER NOT NULL,
    goggle_x INTEGER NOT NULL, goggle_y INTEGER NOT NULL,
    goggle_width INTEGER NOT NULL, goggle_height INTEGER NOT NULL,
    panel_x INTEGER, panel_y INTEGER, panel_width INTEGER, panel_height INTEGER,
    region_source TEXT NOT NULL,
    scan_mode TEXT NOT NULL,
    frames_decoded INTEGER NOT NULL,
    scan_seconds REAL NOT NULL,
    shortest_hold_ms REAL NOT NULL,
    has_panel_timing INTEGER NOT NULL,
    scan_time_ns INTEGER,
    sweep_direction TEXT,
    new_frame_ns INTEGER,
    new_frame_uncertainty_ms REAL,
    refresh_ns INTEGER,
    held_share REAL,
    longest_held_ns INTEGER,
    signs_json TEXT NOT NULL,
    notes_json TEXT NOT NULL,
    traces_id INTEGER REFERENCES traces(id)
) STRICT;

CREATE TABLE presses (
    clip_id INTEGER NOT NULL REFERENCES measurements(clip_id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    press_index INTEGER NOT NULL,
    edge TEXT NOT NULL,
    reference_ns INTEGER,
    first_light_ns INTEGER,
    half_light_ns INTEGER,
    settled_ns INTEGER,
    sweep_start_ns INTEGER,
    full_frame_ns INTEGER,
    latency_ns INTEGER,
    full_frame_latency_ns INTEGER,
    uncertainty_ns INTEGER,
    accepted INTEGER NOT NULL,
    flags TEXT NOT NULL,
    uncertainty_parts TEXT NOT NULL,
    reference_before REAL,
    reference_after REAL,
    goggle_before REAL,
    goggle_after REAL,
    PRIMARY KEY (clip_id, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE moved_marks (
    clip_id INTEGER NOT NULL REFERENCES clips(id) ON DELETE CASCADE,
    press_index INTEGER NOT NULL,
    mark TEXT NOT NULL,
    time_ns INTEGER NOT NULL,
    PRIMARY KEY (clip_id, press_index, mark)
) STRICT, WITHOUT ROWID;

CREATE TABLE hand_choices (
    clip_id INTEGER NOT NULL REFERENCES clips(id) ON DELETE CASCADE,
    press_index INTEGER NOT NULL,
    accepted INTEGER NOT NULL,
    reason TEXT NOT NULL,
    PRIMARY KEY (clip_id, press_index)
) STRICT, WITHOUT ROWID;
)sql";

/// Rig checks, what a clip took from its rig, a panel's four corners ("x1,y1,…"), and the models
/// fitted to a press.
constexpr const char* addedByVersion2 = R"sql(
CREATE TABLE rig_checks (
    id INTEGER PRIMARY KEY,
    place INTEGER NOT NULL,
    rig_id INTEGER NOT NULL REFERENCES rigs(id) DEFERRABLE INITIALLY DEFERRED,
    kind TEXT NOT NULL CHECK (kind IN ('zero', 'time-base')),
    made_on TEXT NOT NULL,
    file TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    edges INTEGER NOT NULL,
    flags TEXT NOT NULL,
    notes_json TEXT NOT NULL,
    scatter_ms REAL NOT NULL,
    difference_ms REAL,
    difference_uncertainty_ms REAL,
    line_time_us REAL,
    line_time_uncertainty_us REAL,
    reference_first_row INTEGER,
    reference_last_row INTEGER,
    goggle_first_row INTEGER,
    goggle_last_row INTEGER,
    capture_rate_hz REAL,
    capture_rate_uncertainty_hz REAL,
    labelled_rate_hz REAL,
    period_ms REAL,
    period_uncertainty_ms REAL,
    cycles INTEGER
) STRICT;
CREATE INDEX checks_of_rig ON rig_checks(rig_id);

ALTER TABLE measure_options ADD COLUMN capture_rate_uncertainty_hz REAL;
ALTER TABLE measure_options ADD COLUMN panel_corners TEXT;
ALTER TABLE measurements ADD COLUMN panel_corners TEXT;
ALTER TABLE measure_options ADD COLUMN from_rig TEXT NOT NULL DEFAULT '';
ALTER TABLE measure_options ADD COLUMN time_base_check_date TEXT NOT NULL DEFAULT '';
ALTER TABLE measure_options ADD COLUMN zero_check_date TEXT NOT NULL DEFAULT '';
ALTER TABLE measure_options ADD COLUMN transfer TEXT;

ALTER TABLE measurements ADD COLUMN line_time_source TEXT NOT NULL DEFAULT 'unknown';
UPDATE measurements SET line_time_source = 'given' WHERE line_time_us IS NOT NULL;

ALTER TABLE presses ADD COLUMN reference_model_frame INTEGER;
ALTER TABLE presses ADD COLUMN reference_model BLOB;
ALTER TABLE presses ADD COLUMN goggle_model_frame INTEGER;
ALTER TABLE presses ADD COLUMN goggle_model BLOB;
)sql";

/// The edit history, and what the goggle displays about itself.
constexpr const char* addedByVersion3 = R"sql(
CREATE TABLE history (
    number INTEGER PRIMARY KEY,
    id INTEGER NOT NULL UNIQUE,
    made_at TEXT NOT NULL,
    who TEXT NOT NULL,
    program_version TEXT NOT NULL,
    label_json TEXT NOT NULL,
    taken_back INTEGER NOT NULL,
    changes_json TEXT NOT NULL
) STRICT;

CREATE TABLE press_readouts (
    clip_id INTEGER NOT NULL REFERENCES clips(id) ON DELETE CASCADE,
    press_index INTEGER NOT NULL,
    latency_ms REAL NOT NULL,
    PRIMARY KEY (clip_id, press_index)
) STRICT, WITHOUT ROWID;

CREATE TABLE setting_readouts (
    setting_id INTEGER NOT NULL REFERENCES settings(id) ON DELETE CASCADE,
    number INTEGER NOT NULL,
    latency_ms REAL NOT NULL,
    note TEXT NOT NULL,
    PRIMARY KEY (setting_id, number)
) STRICT, WITHOUT ROWID;
)sql";

/// A rig's shortest hold. Options hold the one in force, stated by the tester or not: before, the
/// usual one stood for none.
constexpr const char* addedByVersion4 = R"sql(
ALTER TABLE rigs ADD COLUMN shortest_hold_ns INTEGER CHECK (shortest_hold_ns > 0);

ALTER TABLE measure_options ADD COLUMN shortest_hold_stated INTEGER NOT NULL DEFAULT 0;
UPDATE measure_options SET shortest_hold_stated = 1 WHERE shortest_hold_ms <> 100;
)sql";

void createVersion1(SQLite::Database& database)
{
    database.exec("PRAGMA application_id = " + std::to_string(applicationId));
    database.exec(entriesOfVersion1);
    database.exec(measurementsOfVersion1);
}

void migrateToVersion2(SQLite::Database& database) { database.exec(addedByVersion2); }

void migrateToVersion3(SQLite::Database& database) { database.exec(addedByVersion3); }

void migrateToVersion4(SQLite::Database& database) { database.exec(addedByVersion4); }

/// Step k brings version k to k + 1. Each new step comes with a stored file of the version before
/// it in tests/core/session.
using Migration = void (*)(SQLite::Database&);
constexpr std::array<Migration, currentSchemaVersion> migrations {
    createVersion1, migrateToVersion2, migrateToVersion3, migrateToVersion4};

} // namespace

int schemaVersionOf(SQLite::Database& database)
{
    if (database.execAndGet("PRAGMA application_id").getInt() != applicationId) {
        throw DamagedSession("it holds something else");
    }
    const int version = database.execAndGet("PRAGMA user_version").getInt();
    if (version > currentSchemaVersion) {
        throw NewerSession();
    }
    if (version < 1) {
        throw DamagedSession("its version is missing");
    }
    return version;
}

void applyMigrations(SQLite::Database& database, int fromVersion)
{
    for (auto step = static_cast<std::size_t>(fromVersion); step < migrations.size(); ++step) {
        migrations[step](database);
    }
    database.exec("PRAGMA user_version = " + std::to_string(currentSchemaVersion));
}

} // namespace twinlamp::session::store
