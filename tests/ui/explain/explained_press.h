// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

namespace twinlamp::ui::tests {

/// An invented press as core/report explains it: 1000 frames a second, answered after 39.7 ms.
[[nodiscard]] inline report::PressExplanation explainedPress(Flags flags = {})
{
    ClipFacts facts;
    facts.file = "invented.mp4";
    facts.widthPx = 1280;
    facts.heightPx = 720;
    facts.captureRate = {1000, 1};
    facts.exposureMs = 0.8;
    ClipTraces traces;
    for (int k = 0; k < 100; ++k) {
        traces.exposureStart.push_back(realTimeFromMs(k));
        traces.reference.push_back(k < 20 ? 0.1F : k == 20 ? 0.3F : 0.5F);
        traces.goggle.push_back(k < 60 ? 0.2F : k == 60 ? 0.3F : 0.4F);
    }
    Press press;
    press.index = 3;
    press.reference = realTimeFromMs(20.4);
    press.firstLight = realTimeFromMs(60.1);
    press.settled = realTimeFromMs(61.4);
    press.latency = latencyFromMs(39.7);
    press.uncertainty = latencyFromMs(0.098);
    press.parts = {{UncertaintySource::ReferenceOnset, 0.03, false, 20.0},
        {UncertaintySource::FirstLight, 0.04, false}};
    press.flags = std::move(flags);
    press.referenceBefore = 0.1;
    press.referenceAfter = 0.5;
    press.goggleBefore = 0.2;
    press.goggleAfter = 0.4;
    press.referenceModel = {18, {0.1F, 0.1F, 0.3F, 0.5F, 0.5F}};
    press.goggleModel = {58, {0.2F, 0.2F, 0.31F, 0.4F, 0.4F}};
    const RegionSet regions {
        {10, 10, 20, 20}, {100, 300, 20, 20}, std::nullopt, RegionSource::Given};
    return report::explainPress({facts, regions, traces, press, {}});
}

/// A picture of one colour for every cell of the strip.
[[nodiscard]] inline ExplanationPictures plainPictures(
    const report::PressExplanation& explanation, const QColor& colour)
{
    ExplanationPictures pictures;
    for (const report::StripFrame& frame : explanation.strip) {
        for (const bool goggle : {false, true}) {
            QImage picture(30, 30, QImage::Format_RGB32);
            picture.fill(colour);
            pictures.parts.push_back({frame.frame, goggle, picture});
        }
    }
    return pictures;
}

} // namespace twinlamp::ui::tests
