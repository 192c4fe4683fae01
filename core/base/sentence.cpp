// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sentence.h"

#include "core/base/sentence_rows.h"

#include <algorithm>
#include <array>
#include <string_view>

namespace twinlamp {

namespace {

using TableRow = SentenceRow;

constexpr std::array table {
    TableRow {
        "frames-lost", "Frames lost from the recording: {0}. The others keep their true time."},
    TableRow {"frames-damaged",
        "{0} of {1} frames could not be decoded ({2}); what is left was measured."},
    TableRow {"clip-truncated", "The file ends early: {0} frames could be read."},
    TableRow {"stamps-uneven",
        "The file's time stamps are uneven; frames were timed by their number and the capture "
        "rate."},
    TableRow {"exposure-estimated", "The exposure was estimated from partly lit frames: {0} ms."},
    TableRow {"exposure-unknown",
        "The exposure is neither given nor told by partly lit frames; the uncertainty allows for "
        "any up to the frame "
        "interval. Give it with --exposure."},
    TableRow {"line-time-unknown",
        "The line time of a rolling shutter is not known: the {0} rows between the lamps may hide "
        "a skew of up to {1} ms, which the intervals allow for. Make a zero check, or give "
        "--line-time (0 where all rows are exposed at once)."},
    TableRow {"line-time-estimated",
        "The line time was estimated from the rows within the reference lamp: {0} us."},
    TableRow {"panel-own-clock",
        "The panel redraws every {0} ms by a clock of its own: the link's pictures wait for a "
        "redraw and stand for one or more of them."},
    TableRow {"lamp-slow",
        "The reference lamp does not switch {0} at once: {1} % of its step follow with a time "
        "constant of {2} ms. Its onset is the start of the change; a plain LED without a phosphor "
        "or a smoothing driver times better."},
    TableRow {"transfer-told",
        "Light was read with the curve {0}, as told, whatever the file's tag says."},
    TableRow {"no-zero-check", "No zero check was applied."},
    TableRow {"no-time-base-check",
        "No time-base check was applied: the capture rate is taken as it is labelled."},
    TableRow {"zero-check-applied", "Zero check of {0} applied: {1} ms subtracted."},
    TableRow {"time-base-check-applied", "Time-base check of {0} applied: {1} frames/s."},
    // Rig checks: what they say, and what to doubt.
    TableRow {"zero-check-says",
        "The goggle lamp shows the switching {0} ms after the reference lamp, +- {1} ms (95 %), "
        "from {2} switchings."},
    TableRow {
        "zero-check-holds-zero", "The interval holds zero: the two lamps are not told apart."},
    TableRow {"zero-check-line-time",
        "Line time {0} us, +- {1} us (95 %), from the rows within the lamps."},
    TableRow {"zero-check-line-time-given", "Line time {0} us, as given."},
    TableRow {"zero-check-skew",
        "The line time is not known, so the row skew between rows {0} and {1} is inside: the "
        "figure "
        "holds only for lamps at the same rows, and not together with a line time."},
    TableRow {"time-base-check-says",
        "The camera takes {0} frames/s, +- {1} (95 %), from {2} switchings over {3} periods of {4} "
        "ms."},
    TableRow {"time-base-check-label", "That is {0} ppm off the labelled {1} frames/s."},
    TableRow {"time-base-check-label-holds", "The labelled {0} frames/s lies inside the interval."},
    TableRow {"rate-unlabelled",
        "No capture rate is given or in the file: nothing but the lamp's period speaks for this "
        "one."},
    TableRow {"lamps-by-place",
        "The lamps were located; the left one was taken for the reference lamp. Where it is the "
        "other way round, give --reference and --goggle: the sign turns round."},
    TableRow {"lamp-located-unsure",
        "Something else switches nearly as strongly as the lamps (confidence {0}); check the "
        "regions."},
    TableRow {"check-onsets-bounded",
        "Hardly a switching left a partly lit frame, so the interval allows for all of the gap "
        "between two exposures. Lengthen the exposure towards the frame interval, dim a clipped "
        "lamp, or let the lamp switch out of step with the frames."},
    TableRow {"check-few-edges",
        "Only {0} switchings: the interval is wide because their scatter is hardly known. Film "
        "more of them."},
    TableRow {"zero-on-off-differ",
        "Off edges give {0} ms more than on edges, so the lamps differ; the figure is that of the "
        "on "
        "edges."},
    TableRow {"zero-large",
        "Two lamps on one switch do not differ by {0} ms. If one of them is seen through the link, "
        "this is no zero check."},
    TableRow {"lamp-driven-fast",
        "With a period of {0} ms the lamp changes more than once a second; drive it at a period of "
        "2 s or more."},
    TableRow {"cycles-missing", "Switchings in between that were not seen: {0}."},
    TableRow {"link-frame-rate-unknown",
        "No link spread: the link camera's frame rate is not given. Give it with "
        "--link-frame-rate."},
    TableRow {"sparse-not-proved",
        "A sparse scan could not prove that it has all of a full one ({0}), so every frame was "
        "decoded."},
    TableRow {"sparse-no-gain",
        "Keyframes are so far apart for holds of {0} ms that a sparse scan would have decoded most "
        "frames, so it decoded all of them."},
    TableRow {"sparse-scan",
        "{0} of {1} frames were read, all around the switchings; a hold shorter than the stated "
        "{2} "
        "ms may be missing, and held frames were not looked for. --scan full reads every frame."},
    TableRow {"second-look",
        "Regions that were moved were read from the coarse light map of an earlier scan ({0}), and "
        "no frame was decoded. Measure the clip again to read them exactly."},
    TableRow {"sparse-scan-rig",
        "{0} of {1} frames were read, all around the switchings; a hold shorter than the {2} ms "
        "that the rig states may be missing, and held frames were not looked for. --scan full "
        "reads every frame."},
    TableRow {"sparse-scan-usual",
        "{0} of {1} frames were read, all around the switchings; a hold shorter than {2} ms may be "
        "missing (--shortest-hold or the rig states another), and held frames were not looked for. "
        "--scan full reads every frame."},
    TableRow {"held-not-seen", "The panel shows no moving picture, so held frames cannot be told."},
    TableRow {"panel-one-sign",
        "Only one sign tells how often the panel shows a new picture, so a fault in it would go "
        "unseen. Film a moving picture on the panel, or more presses, for a second one."},
    TableRow {"panel-not-given", "No panel region: no full-frame figures."},
    TableRow {"on-off-differ",
        "Latency of on and off edges differs by {0} ms; a lamp that saturates the link camera does "
        "this."},
    TableRow {"located-unsure",
        "The {0} region was located with low confidence ({1}); check it before trusting the "
        "figures."},
    TableRow {"hand-held",
        "The camera was held in the hand: lamps and panel were followed, up to {0} px from their "
        "place in the first picture. A turn of the camera was not."},
    TableRow {"hand-held-lost",
        "Pictures in which the shaking camera's view was not recognised: {0}; they were left out."},
    TableRow {"mains-removed",
        "Flicker of the room light at {0} Hz was removed with the light of a lamp-free part of the "
        "picture ({1}); traces and figures are those without it."},
    TableRow {"room-light-removed",
        "Changes of the room light were removed with the light of a lamp-free part of the picture "
        "({0}); traces and figures are those without them."},
    TableRow {"set-aside", "Presses set aside: {0} ({1})."},
    TableRow {"rate-contradicts",
        "The capture rate {0} Hz does not fit the file's own time stamps ({1} Hz play rate); check "
        "which one is real."},
    // Steps of a session, for menus and the history.
    TableRow {"edit-change-session", "change the session's notes"},
    TableRow {"edit-add-rig", "add rig {0}"},
    TableRow {"edit-change-rig", "change rig {0}"},
    TableRow {"edit-remove-rig", "remove rig {0}"},
    TableRow {"edit-file-zero-check", "file the zero check of {0} in rig {1}"},
    TableRow {"edit-file-time-base-check", "file the time-base check of {0} in rig {1}"},
    TableRow {"edit-remove-rig-check", "remove the check {0} of rig {1}"},
    TableRow {"edit-add-setting", "add link setting {0}"},
    TableRow {"edit-rename-setting", "rename link setting {0} to {1}"},
    TableRow {"edit-change-conditions", "change the conditions of {0}"},
    TableRow {"edit-remove-setting", "remove link setting {0}"},
    TableRow {"edit-move-setting", "move link setting {0}"},
    TableRow {"edit-add-run", "add {0} to {1}"},
    TableRow {"edit-rename-run", "rename {0} to {1}"},
    TableRow {"edit-change-run-notes", "change the notes of {0}"},
    TableRow {"edit-remove-run", "remove {0}"},
    TableRow {"edit-move-run", "move {0} to {1}"},
    TableRow {"edit-add-clip", "add clip {0}"},
    TableRow {"edit-add-clips", "add {0} clips"},
    TableRow {"edit-remove-clip", "remove clip {0}"},
    TableRow {"edit-remove-clips", "remove {0} clips"},
    TableRow {"edit-move-clip", "move clip {0} to {1}, {2}"},
    TableRow {"edit-change-clip-notes", "change the notes of clip {0}"},
    TableRow {"edit-change-clip-file", "find clip {0} again"},
    TableRow {"edit-assign-rig", "change the rig of clip {0}"},
    TableRow {"edit-assign-rig-clips", "change the rig of {0} clips"},
    TableRow {"edit-change-options", "change how clip {0} is measured"},
    TableRow {"edit-move-region", "move the {0} region of {1}"},
    TableRow {"edit-give-capture-rate", "give the capture rate of {0}"},
    TableRow {"edit-fill-in-clip", "read the other frames of {0}"},
    TableRow {"edit-measure-clip", "measure clip {0}"},
    TableRow {"edit-file-result", "file the result of clip {0} under {1}, {2}"},
    TableRow {"edit-move-mark-onset", "move the onset of press {0}"},
    TableRow {"edit-move-mark-first-light", "move first light of press {0}"},
    TableRow {"edit-move-mark-half-light", "move half light of press {0}"},
    TableRow {"edit-move-mark-settled", "move the settled mark of press {0}"},
    TableRow {"edit-move-mark-sweep-start", "move the sweep start of press {0}"},
    TableRow {"edit-move-mark-full-frame", "move the full frame of press {0}"},
    TableRow {"edit-reset-mark", "put a mark of press {0} back to its measured place"},
    TableRow {"edit-set-aside-press", "set press {0} aside"},
    TableRow {"edit-accept-press", "accept press {0}"},
    TableRow {"edit-reset-choice", "put press {0} back to the program's choice"},
    TableRow {"edit-set-readout", "type the goggle's readout of press {0}"},
    TableRow {"edit-set-readouts", "type the goggle's readouts of clip {0}"},
    TableRow {"edit-change-readouts", "type the goggle's readouts of {0}"},
    TableRow {"edit-merge-session", "bring in the session {0}"},
    TableRow {"edit-relink-clips", "find {0} clips again"},
    // What a report says about a clip or a setting.
    TableRow {"answers-lost",
        "Presses never answered: {0}. They count as later than any limit, so the largest latency "
        "is not known."},
    TableRow {"link-spread-told",
        "The link spread of {0} ms (95 % interval {1} to {2} ms) holds the panel's own phase too."},
    TableRow {"link-spread-sawtooth",
        "The answers keep to a frame clock of {0} ms, so each press's wait for the next frame is "
        "known: "
        "the link spread is what remains about it."},
    TableRow {"link-spread-zero",
        "The link spread is not told apart from zero (95 % interval up to {0} ms); the panel's own "
        "phase would be part of it."},
    TableRow {"answer-interval",
        "Latency {0} ms: median of {1} presses (on), 95 % interval {2} to {3} ms."},
    TableRow {"answer-few",
        "Latency {0} ms: median of {1} presses (on); an interval needs 6 presses or more."},
    TableRow {"answer-open",
        "Latency {0} ms: median of {1} presses (on), at least {2} ms with 95 % confidence; lost "
        "answers leave no upper end."},
    TableRow {"answer-lost", "No median latency: {0} of {1} presses (on) were never answered."},
    TableRow {"answer-none", "No latency: no accepted press (on) has an answer."},
    // What explains one press.
    TableRow {"explain-title", "Press {0} ({1}): latency {2} ± {3} ms"},
    TableRow {"explain-title-bare", "Press {0} ({1}): latency {2} ms"},
    TableRow {"explain-title-lost", "Press {0} ({1}): no latency"},
    TableRow {"explain-no-onset",
        "The onset of the reference lamp could not be timed, so nothing can be set against it."},
    TableRow {
        "explain-no-traces", "The traces of this clip are not kept; measure it again to see them."},
    TableRow {"explain-no-model",
        "The fitted models of this press are not kept; measure the clip again to see them."},
    TableRow {"explain-aside-by-hand", "Set aside by hand, no reason given."},
    TableRow {"explain-aside-because", "Set aside by hand: {0}."},
    TableRow {"explain-foot-clip", "Clip {0}"},
    TableRow {"explain-foot-rate", "capture rate {0} frames/s ({1})"},
    TableRow {"explain-foot-no-rate", "capture rate n/a"},
    TableRow {"explain-foot-exposure", "exposure {0} ms ({1})"},
    TableRow {"explain-foot-no-exposure", "exposure n/a"},
    TableRow {"explain-foot-program", "twinlamp {0}"},
    TableRow {"budget-source-reference-onset", "reference lamp onset"},
    TableRow {"budget-source-first-light", "first light of the goggle lamp"},
    TableRow {"budget-source-exposure", "exposure"},
    TableRow {"budget-source-capture-rate", "capture rate"},
    TableRow {"budget-source-zero-correction", "zero correction"},
    TableRow {"budget-source-line-time", "line time"},
    TableRow {"budget-source-camera-response", "camera response"},
    TableRow {"budget-source-lamp-response", "reference lamp's own speed"},
    TableRow {"budget-source-hand-correction", "correction by hand"},
    TableRow {"budget-how-reference-onset",
        "spread of the instants that fit the partly lit frame and both light levels"},
    TableRow {"budget-how-first-light",
        "curvature of the fit and its residuals, neighbouring frames taken as alike"},
    TableRow {
        "budget-how-exposure", "timed again with the exposure one standard deviation shorter"},
    TableRow {"budget-how-capture-rate",
        "the camera's clock taken to keep within 100 parts in a million, rectangular"},
    TableRow {"budget-how-time-base", "interval of the time-base check"},
    TableRow {"budget-how-zero-correction", "half width of the zero check over 1.96"},
    TableRow {"budget-how-line-time", "doubt of the line time over the rows between the lamps"},
    TableRow {"budget-how-camera-response",
        "what codec, camera and the panel shape shared by all presses leave open"},
    TableRow {"budget-how-lamp-response",
        "spread of the onsets over the tails that all switchings together allow"},
    TableRow {"plan-late",
        "The claim stands when no more than {0} of the presses are late or lost: at most {1} % of "
        "all are late."},
    TableRow {"plan-limits-upper",
        "The largest latency of the presses is the limit that {0} % of all stay below."},
    TableRow {"plan-limits-both",
        "The smallest and the largest latency of the presses are the limits that hold {0} % of "
        "all."},
    TableRow {"plan-limits-discarding",
        "With the {0} outermost presses left out, the limits hold {1} % of all."},
    TableRow {"plan-any-shape", "No shape of the latencies is assumed."},
    TableRow {"plan-independent",
        "Presses count as independent: pressed at moments unrelated to the link's frames."},
    TableRow {"plan-runs",
        "Spread them over 3 runs or more, the link restarted in between: clocks that lock keep one "
        "offset through a run, and more presses of one run do not average it out."},
    TableRow {"plan-spread-known",
        "The standard deviation of the latencies is {0} ms, as given; take it from a first run."},
    TableRow {"plan-mean-student",
        "Intervals and tests of means use Student's t; means of this many presses are close enough "
        "to normal."},
    TableRow {"plan-median-normal",
        "The latencies are shaped like a normal distribution about their median."},
    TableRow {"plan-median-flat",
        "Latencies spread evenly, as by the sampling phase alone, take {0} presses."},
    TableRow {"plan-per-setting", "The count is that of each of the two settings."},
    // Why two settings are not told apart.
    TableRow {"compare-few-runs",
        "Undecided: {0} runs of A and {1} of B gave the figure, and each setting needs {2}. "
        "Restart "
        "the link and film again: clocks that happen to be locked keep one offset through a run."},
    TableRow {"compare-run-lost",
        "Undecided: {0} runs of A and {1} of B lost half of their answers or more, so that they "
        "have no median."},
    TableRow {"compare-not-told",
        "Cannot tell yet: a difference of this size takes about {0} runs with {1} presses in each "
        "setting (power 80 %)."},
    TableRow {"compare-no-difference",
        "Cannot tell: the difference seen is too small for any campaign of 1000 runs."},
    TableRow {"compare-no-spread", "Undecided: no run of a setting has {0} latencies that differ."},
    // What the arithmetic of a link takes for granted.
    TableRow {"link-air-rate-from-width",
        "The air rate is taken as {0} bit/s per Hz of a channel {1} MHz wide; give it with "
        "--air-rate where it is known."},
    TableRow {"link-air-rate-is-bit-rate",
        "Neither an air rate nor a channel width is given: frames go out at their own bit rate and "
        "take their whole interval."},
    TableRow {"link-no-repeats", "No round trip is given: lost packets are not repeated."},
    TableRow {"link-allowance-is-slack",
        "No allowance is given: repeats may take the slack of the frame interval."},
    TableRow {"link-overrun",
        "Frames come faster than they go out: the link falls behind, and every frame is late."},
    TableRow {"link-overrun-by-repeats",
        "With its repeats a frame is on the air for longer than its interval on average: the link "
        "falls behind sooner or later."},
    TableRow {"link-radio",
        "The loss of {0} comes from {1} dBm received in free space with nothing in the way, a "
        "margin of {2} dB over what the receiver needs, and a curve that loses half of the packets "
        "at {3} dB and a tenth at {4} dB."},
    TableRow {"link-packets", "Frames are cut into packets of {0} byte."},
    TableRow {"link-independent-loss",
        "Packets are lost independently of each other; real links lose them in bursts, which makes "
        "more frames late or fewer, and the spread larger."},
    TableRow {"link-rounds",
        "Repeats of one frame run side by side; each round of them takes a round trip, sending "
        "included."},
    TableRow {"link-general",
        "This is a model of retransmission in general, not of one radio. Follow the local radio "
        "rules for channel, width and power."},
    TableRow {"budget-how-hand-correction", "a hand places a mark to a frame: interval over √12"},
};

/// Empty where the table lacks it.
std::string_view patternOf(std::string_view id)
{
    for (const std::span<const TableRow> part :
        {std::span<const TableRow>(table), comparisonSentenceRows(), sessionSentenceRows()}) {
        const auto row = std::ranges::find(part, id, &TableRow::first);
        if (row != part.end()) {
            return row->second;
        }
    }
    return {};
}

} // namespace

std::string english(const Sentence& sentence)
{
    // One pass: a value that looks like a mark (a clip named "{1}.mp4") is not filled in again.
    const std::string_view pattern = patternOf(sentence.id);
    if (pattern.empty()) {
        return sentence.id;
    }
    std::string text;
    for (std::size_t i = 0; i < pattern.size(); ++i) {
        const bool isMark = pattern[i] == '{' && i + 2 < pattern.size() && pattern[i + 2] == '}'
            && pattern[i + 1] >= '0' && pattern[i + 1] <= '9';
        const auto number = isMark ? static_cast<std::size_t>(pattern[i + 1] - '0') : 0;
        if (isMark && number < sentence.values.size()) {
            text += sentence.values[number];
            i += 2;
        } else {
            text += pattern[i];
        }
    }
    return text;
}

} // namespace twinlamp
