// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/trace_blobs.h"

#include "core/session/store/sql_row.h"

#include <bit>
#include <cstring>
#include <vector>

namespace twinlamp::session::store {

namespace {

static_assert(std::endian::native == std::endian::little,
    "traces are stored little-endian; swap the bytes here on other machines");
static_assert(sizeof(RealTime) == sizeof(std::int64_t) && sizeof(float) == 4);

template<typename T> std::string bytesOf(const std::vector<T>& values)
{
    return {reinterpret_cast<const char*>(values.data()), values.size() * sizeof(T)};
}

template<typename T> std::vector<T> valuesFrom(const SQLite::Column& column)
{
    const auto bytes = static_cast<std::size_t>(column.getBytes());
    if (bytes % sizeof(T) != 0) {
        throw DamagedSession("a trace that ends within a value");
    }
    std::vector<T> values(bytes / sizeof(T));
    if (bytes > 0) {
        std::memcpy(values.data(), column.getBlob(), bytes);
    }
    return values;
}

} // namespace

std::string lightBytes(const std::vector<float>& light) { return bytesOf(light); }

std::vector<float> lightFrom(const SQLite::Column& column) { return valuesFrom<float>(column); }

TracesId insertTraces(SQLite::Database& database, const ClipTraces& traces)
{
    const auto id = newId<TracesId>();
    insertTraces(database, id, traces);
    return id;
}

void insertTraces(SQLite::Database& database, TracesId id, const ClipTraces& traces)
{
    SQLite::Statement insert(database,
        insertInto("traces", "id, frames, exposure_start_ns, reference, goggle, panel")
            + " ON CONFLICT (id) DO NOTHING");
    Binder row(insert);
    row << id << static_cast<std::int64_t>(traces.frameCount());
    row.blob(bytesOf(traces.exposureStart))
        .blob(bytesOf(traces.reference))
        .blob(bytesOf(traces.goggle))
        .blob(bytesOf(traces.panel));
    row.run();
}

std::optional<ClipTraces> loadTraces(SQLite::Database& database, TracesId id)
{
    SQLite::Statement select(
        database, "SELECT exposure_start_ns, reference, goggle, panel FROM traces WHERE id = ?");
    Binder parameters(select);
    parameters << id;
    if (!select.executeStep()) {
        return std::nullopt;
    }
    ClipTraces traces;
    traces.exposureStart = valuesFrom<RealTime>(select.getColumn(0));
    traces.reference = valuesFrom<float>(select.getColumn(1));
    traces.goggle = valuesFrom<float>(select.getColumn(2));
    traces.panel = valuesFrom<float>(select.getColumn(3));
    const std::size_t frames = traces.frameCount();
    if (traces.reference.size() != frames || traces.goggle.size() != frames
        || (!traces.panel.empty() && traces.panel.size() != frames)) {
        throw DamagedSession("traces of different lengths");
    }
    return traces;
}

} // namespace twinlamp::session::store
