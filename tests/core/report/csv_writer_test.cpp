// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/csv_writer.h"
#include "tests/core/report/measurement_sample.h"

#include <algorithm>
#include <charconv>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

/// Reads CSV as RFC 4180 defines it, section 2, rules 1 to 7.
std::vector<std::vector<std::string>> recordsOf(const std::string& text)
{
    std::vector<std::vector<std::string>> records {{""}};
    bool quoted = false;
    for (std::size_t i = 0; i < text.size(); ++i) {
        std::string& field = records.back().back();
        if (quoted && text[i] == '"' && i + 1 < text.size() && text[i + 1] == '"') {
            field += text[i++];
        } else if (text[i] == '"') {
            quoted = !quoted;
        } else if (!quoted && text[i] == ',') {
            records.back().emplace_back();
        } else if (!quoted && text.compare(i, 2, "\r\n") == 0) {
            records.push_back({""});
            ++i;
        } else {
            field += text[i];
        }
    }
    records.pop_back(); // after the last line's end
    return records;
}

TEST(CsvRecord, QuotesWhatRfc4180Asks)
{
    // RFC 4180 section 2, rule 7: "aaa","b""bb","ccc".
    EXPECT_EQ(csvRecord({"aaa", "b\"bb", "ccc"}), "aaa,\"b\"\"bb\",ccc\r\n");
    EXPECT_EQ(csvRecord({"zzz", "b\r\nbb", "x,y", ""}), "zzz,\"b\r\nbb\",\"x,y\",\r\n");
}

TEST(PressesCsv, ReadsBackToTheNanosecond)
{
    const ClipResult result = samples::hangarClip();
    const auto records = recordsOf(pressesCsv(result));
    ASSERT_EQ(records.size(), result.presses.size() + 1);
    const auto column = [&](const std::string& name) {
        const auto found = std::ranges::find(records[0], name);
        EXPECT_NE(found, records[0].end()) << name;
        return static_cast<std::size_t>(found - records[0].begin());
    };
    for (std::size_t i = 0; i < result.presses.size(); ++i) {
        const auto& record = records[i + 1];
        ASSERT_EQ(record.size(), records[0].size());
        const std::string& text = record[column("latency_ms")];
        if (!result.presses[i].latency) {
            EXPECT_EQ(text, "");
            continue;
        }
        double ms = 0.0;
        const auto end = std::from_chars(text.data(), text.data() + text.size(), ms);
        EXPECT_EQ(end.ptr, text.data() + text.size());
        EXPECT_EQ(latencyFromMs(ms), result.presses[i].latency);
        EXPECT_EQ(record[column("clip")], result.clip.file);
        EXPECT_EQ(record[column("clip_sha256")], result.clip.sha256);
    }
    EXPECT_EQ(records[11][column("flags")], "reference-clipped exposure-unknown");
    EXPECT_EQ(records[9][column("accepted")], "no");
    EXPECT_EQ(records[9][column("set_aside_because")], "ambiguous-pairing");
    EXPECT_EQ(records[11][column("set_aside_because")], "");
}

TEST(PressesCsv, EveryFigureNamesItsUnit)
{
    const auto header = recordsOf(pressesCsv(samples::clipWithoutPresses())).at(0);
    for (const std::string& name : header) {
        const bool isFigure = name.find("reference") == 0 || name.find("light") != std::string::npos
            || name.find("latency") != std::string::npos || name == "exposure_ms";
        EXPECT_TRUE(!isFigure || name.ends_with("_ms")) << name;
    }
}

} // namespace
} // namespace twinlamp::report
