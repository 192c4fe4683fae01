// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/check_rows.h"

#include "core/session/store/row_texts.h"
#include "core/session/store/sql_row.h"

namespace twinlamp::session::store {

namespace {

constexpr std::string_view checkColumns
    = "id, place, rig_id, kind, made_on, file, sha256, edges, flags, notes_json, scatter_ms,"
      " difference_ms, difference_uncertainty_ms, line_time_us, line_time_uncertainty_us,"
      " reference_first_row, reference_last_row, goggle_first_row, goggle_last_row,"
      " capture_rate_hz, capture_rate_uncertainty_hz, labelled_rate_hz, period_ms,"
      " period_uncertainty_ms, cycles";

void bindNulls(Binder& row, int count)
{
    for (int i = 0; i < count; ++i) {
        row.null();
    }
}

// Columns of one kind are empty in rows of the other.
constexpr int zeroColumns = 8;
constexpr int timeBaseColumns = 6;

struct FiguresBinder
{
    Binder& row;

    void operator()(const ZeroFigures& f) const
    {
        row << f.scatterMs << f.differenceMs << f.uncertaintyMs << f.lineTimeUs
            << f.lineTimeUncertaintyUs << f.referenceRows.first << f.referenceRows.last
            << f.goggleRows.first << f.goggleRows.last;
        bindNulls(row, timeBaseColumns);
    }

    void operator()(const TimeBaseFigures& f) const
    {
        row << f.scatterMs;
        bindNulls(row, zeroColumns);
        row << f.captureRateHz << f.uncertaintyHz << f.labelledRateHz << f.periodMs
            << f.periodUncertaintyMs << f.cycles;
    }
};

ZeroFigures readZero(Reader& row)
{
    ZeroFigures f;
    row >> f.scatterMs >> f.differenceMs >> f.uncertaintyMs >> f.lineTimeUs
        >> f.lineTimeUncertaintyUs >> f.referenceRows.first >> f.referenceRows.last
        >> f.goggleRows.first >> f.goggleRows.last;
    return f;
}

TimeBaseFigures readTimeBase(Reader& row)
{
    TimeBaseFigures f;
    row >> f.scatterMs;
    row.skip(zeroColumns);
    row >> f.captureRateHz >> f.uncertaintyHz >> f.labelledRateHz >> f.periodMs
        >> f.periodUncertaintyMs >> f.cycles;
    return f;
}

void readCheck(Reader& row, RigCheck& check)
{
    CheckKind kind = CheckKind::Zero;
    std::string flags;
    std::string notes;
    row >> check.id >> check.place >> check.rig >> kind >> check.date >> check.result.file
        >> check.result.sha256 >> check.result.edges >> flags >> notes;
    check.result.flags = flagsFrom(flags);
    check.result.notes = notesFrom(notes);
    if (kind == CheckKind::Zero) {
        check.result.figures = readZero(row);
    } else {
        check.result.figures = readTimeBase(row);
    }
}

} // namespace

void write(SQLite::Database& database, const RigCheck& check)
{
    SQLite::Statement statement(database, upsert("rig_checks", checkColumns));
    Binder row(statement);
    const CheckResult& result = check.result;
    row << check.id << check.place << check.rig << result.kind() << check.date << result.file
        << result.sha256 << result.edges << flagsText(result.flags) << notesText(result.notes);
    std::visit(FiguresBinder {row}, result.figures);
    row.run();
}

void remove(SQLite::Database& database, RigCheckId id)
{
    SQLite::Statement statement(database, "DELETE FROM rig_checks WHERE id = ?");
    Binder row(statement);
    (row << id).run();
}

std::vector<RigCheck> loadRigChecks(SQLite::Database& database)
{
    SQLite::Statement select(
        database, "SELECT " + std::string(checkColumns) + " FROM rig_checks ORDER BY place, id");
    std::vector<RigCheck> checks;
    while (select.executeStep()) {
        Reader row(select);
        readCheck(row, checks.emplace_back());
    }
    return checks;
}

} // namespace twinlamp::session::store
