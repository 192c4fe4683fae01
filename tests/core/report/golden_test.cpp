// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/report/csv_writer.h"
#include "core/report/json_writer.h"
#include "core/report/table_writer.h"
#include "tests/core/report/measurement_sample.h"
#include "tests/support/comma_locale.h"
#include "tests/support/golden.h"

#include <cstdio>
#include <gtest/gtest.h>

namespace twinlamp::report {
namespace {

using tests::expectGolden;

const stats::SummaryOptions& sampleOptions()
{
    static const stats::SummaryOptions options {latencyFromMs(36.0), FrameRate {60, 1}};
    return options;
}

MeasurementFigures figuresOf(const ClipResult& result)
{
    return measurementFigures(result, sampleOptions());
}

TEST(MeasurementGolden, Json)
{
    const ClipResult result = samples::hangarClip();
    expectGolden("measurement.json", toText(measurementJson(result, figuresOf(result))));
}

TEST(MeasurementGolden, JsonWithoutPresses)
{
    const ClipResult result = samples::clipWithoutPresses();
    expectGolden(
        "measurement_empty.json", toText(measurementJson(result, measurementFigures(result, {}))));
}

TEST(MeasurementGolden, Csv) { expectGolden("measurement.csv", pressesCsv(samples::hangarClip())); }

TEST(MeasurementGolden, Table)
{
    const ClipResult result = samples::hangarClip();
    expectGolden("measurement.txt", measurementTable(result, figuresOf(result)));
}

TEST(MeasurementGolden, TableWithoutPresses)
{
    const ClipResult result = samples::clipWithoutPresses();
    expectGolden("measurement_empty.txt", measurementTable(result, measurementFigures(result, {})));
}

TEST(MeasurementUnderCommaLocale, ReadsTheSame)
{
    const tests::CommaLocale comma;
    if (!comma.isSet()) {
        GTEST_SKIP() << "no German locale: install the package locales";
    }
    char number[16] {};
    static_cast<void>(std::snprintf(number, sizeof number, "%.1f", 0.5));
    ASSERT_STREQ(number, "0,5") << "the locale is not the one that this test needs";
    const ClipResult result = samples::hangarClip();
    expectGolden("measurement.json", toText(measurementJson(result, figuresOf(result))));
    expectGolden("measurement.csv", pressesCsv(result));
    expectGolden("measurement.txt", measurementTable(result, figuresOf(result)));
}

} // namespace
} // namespace twinlamp::report
