// SPDX-License-Identifier: GPL-3.0-or-later
// What summaries, and a comparison of two link settings, say.
#include "core/base/sentence_rows.h"

#include <array>

namespace twinlamp {

namespace {

constexpr std::array rows {
    // What a summary says of one clip.
    SentenceRow {
        "outliers-of-edge", "Presses ({0}) far from the others, and counted like them: {1}."},
    SentenceRow {"none-late-missed",
        "None of {0} presses (on) late or lost; so many presses can miss a late share of up to {1} "
        "% altogether (95 %)."},
    SentenceRow {
        "some-late-missed", "{0} presses (on) can miss a share of up to {1} % altogether (95 %)."},
    SentenceRow {"latency-drifts",
        "Latency (on) drifts through the clip: {0} ms a minute (95 % interval {1} to {2}); the "
        "link changes, or two clocks beat slowly."},
    SentenceRow {"neighbours-alike",
        "Neighbouring presses (on) are not independent (correlation {0}), so intervals that take "
        "them so are off; two clocks that beat slowly do this."},
    SentenceRow {"compare-settings",
        "A is {0}: {1} presses in {2} runs. B is {3}: {4} presses in {5} runs."},
    SentenceRow {"compare-a-faster",
        "A is faster: B less A is {0} ms (95 % interval {1} to {2} ms, p {3})."},
    SentenceRow {"compare-b-faster",
        "B is faster: B less A is {0} ms (95 % interval {1} to {2} ms, p {3})."},
    SentenceRow {"compare-same-within",
        "A and B are the same within {4} ms: B less A is {0} ms (95 % interval {1} to {2} ms, p "
        "{3} of a difference that large)."},
    SentenceRow {"compare-shift-undecided",
        "Which one is faster is undecided: B less A is {0} ms (95 % interval {1} to {2} ms, p "
        "{3})."},
    SentenceRow {"compare-a-steadier",
        "A is steadier: B scatters {0} times as much (95 % interval {1} to {2}, p {3})."},
    SentenceRow {"compare-b-steadier",
        "B is steadier: it scatters {0} times as much as A (95 % interval {1} to {2}, p {3})."},
    SentenceRow {"compare-spread-undecided",
        "Which one is steadier is undecided: B scatters {0} times as much as A (95 % interval {1} "
        "to {2}, p {3})."},
    SentenceRow {"compare-a-less-late",
        "A is less often later than {4} ms or lost: B less A is {0} percentage points (95 % "
        "interval {1} to {2}, p {3})."},
    SentenceRow {"compare-b-less-late",
        "B is less often later than {4} ms or lost: B less A is {0} percentage points (95 % "
        "interval {1} to {2}, p {3})."},
    SentenceRow {"compare-late-undecided",
        "Which one is less often later than {4} ms or lost is undecided: B less A is {0} "
        "percentage points (95 % interval {1} to {2}, p {3})."},
    SentenceRow {"compare-held-back",
        "Asked alone, this last figure would be decided; with {0} questions asked at once it is "
        "not."},
    SentenceRow {"compare-blocks",
        "Runs are the blocks of intervals and verdicts (Student's t over the runs' medians, log "
        "spreads and shares): clocks that happen to be locked keep one unknown offset through a "
        "run, so its presses are not independent."},
    SentenceRow {"compare-together",
        "The verdicts answer {0} questions at once, so their p-values are adjusted by Holm: "
        "settings that are the same are told apart in any of them in 5 % of campaigns at most. "
        "Each interval is that of its figure alone."},
    SentenceRow {"compare-effect",
        "In {0} % of pairs of a press of A and one of B, B takes longer (equal ones shared out): "
        "Cliff's delta {1}, 95 % {2} to {3} over runs."},
    SentenceRow {"compare-independent-beside",
        "Figures as if presses were independent stand beside and decide nothing; the intervals of "
        "each setting's own median, quantiles and late share take presses as independent too."},
    SentenceRow {
        "compare-edges", "On edges alone are compared; both settings are held to the same limits."},
    SentenceRow {"late-none-missed",
        "{0}: none of {1} presses late or lost; so many presses can miss a late share of up to {2} "
        "% altogether (95 %)."},
    SentenceRow {"late-some-missed",
        "{0}: {1} of {2} presses late or lost, {3} % (95 % interval {4} to {5} %); so many presses "
        "can miss a share of up to {6} % altogether (95 %)."},
    SentenceRow {"outliers-named", "{0}: far from the others, and counted like them: {1}."},
    SentenceRow {"account-centre",
        "{0}: first light after {1} ms, the mean of the runs' medians (95 % interval over {4} "
        "runs {2} to {3} ms; {5} presses)."},
    SentenceRow {"account-few-runs",
        "{0}: presses {1}, runs {2}. Presses of one run share an offset where clocks lock, so an "
        "interval that holds needs three runs: restart the link and film again."},
    SentenceRow {"account-doubtful",
        "{0}: clips whose regions were found with doubt: {1}. Look at them before their figures "
        "are "
        "believed."},
    SentenceRow {"account-no-press", "{0}: no press that counts yet."},
    SentenceRow {"account-lost",
        "{0}: {1} of {2} presses were never answered, {3} % (95 % interval {4} to {5} %)."},
    SentenceRow {
        "account-needs", "{0}: presses that the interval of a quantile takes: {1}. There are {2}."},
    SentenceRow {"account-runs-drift",
        "{0}: the medians of the runs drift by {1} ms a run (Mann-Kendall p {2}): something "
        "changed through the campaign, warmth for one."},
    SentenceRow {"account-clip-drifts",
        "{0}: latency drifts through {1}, {2} ms a minute; the link changes, or two clocks beat "
        "slowly."},
    SentenceRow {"account-neighbours-alike",
        "{0}: neighbouring presses of {1} are alike (correlation {2}), so intervals that take them "
        "as independent are off."},
    SentenceRow {"account-independent",
        "The interval over runs holds also where clocks lock; those of median, quantiles, link "
        "spread and late share take presses as independent."},
    SentenceRow {"account-sawtooth",
        "{0}: answers keep to a frame clock of {1} ms; the link spread is what remains about it."},
    SentenceRow {"ranking-order", "Fastest first, by the means of the runs' medians: {0}."},
    SentenceRow {"ranking-told", "{0} of {1} pairs are told apart."},
    SentenceRow {"ranking-tied", "Not told apart from the fastest, {0}: {1}."},
    SentenceRow {"ranking-few-runs",
        "{0}: fewer than {1} runs, so that it is told apart from none. Restart the link and film "
        "again."},
    SentenceRow {"ranking-together",
        "The p-values of all {0} pairs are adjusted by Holm: settings that are the same give any "
        "false pair in 5 % of campaigns at most. Each interval is that of its pair alone."},
    SentenceRow {"ranking-one-question",
        "The ranking asks one question, latency, of all pairs at once; a comparison of two "
        "settings "
        "asks up to three of one pair. A pair can be told apart in one of them and not in the "
        "other."},
    SentenceRow {"ranking-independent",
        "As if presses were independent, and deciding nothing: Kruskal-Wallis H {0} with {1} "
        "degrees of freedom, p {2}."},
    SentenceRow {"fair-alike",
        "Fair test: rig, capture rate, checks, exposure, line time, edges, search span, light "
        "curve and the lamp's place are alike, as far as the session tells."},
    SentenceRow {"fair-rig", "Not alike: the rig, A {0}, B {1}."},
    SentenceRow {"fair-capture-rate", "Not alike: the capture rate, A {0}, B {1}."},
    SentenceRow {"fair-zero-check", "Not alike: the zero correction, A {0}, B {1}."},
    SentenceRow {"fair-time-base", "Not alike: the time-base check, A {0}, B {1}."},
    SentenceRow {"fair-rig-doubt",
        "What rigs and checks leave in doubt is then not common to A and B: {0} ms (standard "
        "uncertainty) enter the shift."},
    SentenceRow {"fair-exposure", "Not alike: the camera's exposure, A {0}, B {1}."},
    SentenceRow {"fair-line-time", "Not alike: the line time, A {0}, B {1}."},
    SentenceRow {"fair-edges-measured", "Not alike: the edges measured, A {0}, B {1}."},
    SentenceRow {"fair-search", "Not alike: the search span, A {0}, B {1}."},
    SentenceRow {"fair-curve", "Not alike: the light curve, A {0}, B {1}."},
    SentenceRow {"fair-lamp-place",
        "Not alike: the lamp's place on the panel, which the latency depends on, A {0}, B {1}."},
    SentenceRow {"fair-not-measured", "{0}: clips not measured yet: {1}."},
    SentenceRow {"fair-out-of-date",
        "{0}: clips measured with other options than are asked for now: {1}. Measure them again."},
    SentenceRow {
        "fair-no-rig", "{0}: clips that name no rig: {1}. Whether they share one is not told."},
    SentenceRow {"fair-phase-no-rate",
        "{0}: whether the presses were spread over the link's frame is not told: give the link "
        "camera's frame rate."},
    SentenceRow {"fair-phase-few",
        "{0}: whether the presses were spread over the link's frame is not told: no clip has {1} "
        "of them."},
    SentenceRow {"fair-phase-in-step",
        "{0}: the presses of {1} fell in step with the link's frame of {2} ms, so they all met the "
        "same wait. Press at moments of your own."},
    SentenceRow {"fair-phase-spread",
        "{0}: no clip's presses fell in step with the link's frame of {1} ms."},
    SentenceRow {"fair-no-condition",
        "No condition that the session keeps differs between A and B: write down what the settings "
        "differ in."},
    SentenceRow {"fair-several-conditions",
        "Conditions that differ: {0}. The comparison cannot say which of them matters."},
    SentenceRow {"condition-link-camera", "Link camera: A {0}, B {1}."},
    SentenceRow {"condition-link-frame-rate", "Link camera's frame rate: A {0}, B {1}."},
    SentenceRow {"condition-link-exposure", "Link camera's exposure: A {0}, B {1}."},
    SentenceRow {"condition-resolution", "Resolution: A {0}, B {1}."},
    SentenceRow {"condition-bit-rate", "Bit rate: A {0}, B {1}."},
    SentenceRow {"condition-channel", "Channel: A {0}, B {1}."},
    SentenceRow {"condition-channel-width", "Channel width: A {0}, B {1}."},
    SentenceRow {"condition-output-power", "Output power: A {0}, B {1}."},
    SentenceRow {"condition-distance", "Distance: A {0}, B {1}."},
    SentenceRow {"condition-attenuation", "Attenuation: A {0}, B {1}."},
    SentenceRow {"condition-interference", "Interference: A {0}, B {1}."},
    SentenceRow {"condition-goggle", "Goggle: A {0}, B {1}."},
    SentenceRow {"condition-brightness", "Brightness of the panel: A {0}, B {1}."},
    SentenceRow {"condition-panel-rate", "Rate of the panel: A {0}, B {1}."},
    SentenceRow {"condition-warm-up", "Warm-up: A {0}, B {1}."},
    SentenceRow {"condition-antenna", "Antenna: A {0}, B {1}."},
    SentenceRow {"condition-firmware", "Firmware: A {0}, B {1}."},
};

} // namespace

std::span<const SentenceRow> comparisonSentenceRows() { return rows; }

} // namespace twinlamp
