// SPDX-License-Identifier: GPL-3.0-or-later
// What the merge of two sessions, and the check of a goggle's readouts, say.
#include "core/base/sentence_rows.h"

#include <array>

namespace twinlamp {

namespace {

constexpr std::array rows {
    SentenceRow {"merge-brought-in",
        "Brought in from {0}: link settings {1}, runs {2}, clips {3}, rigs {4}, rig checks {5}, "
        "entries of the history {6}."},
    SentenceRow {
        "merge-filled-in", "Entries here that the other session had more to say about: {0}."},
    SentenceRow {"merge-nothing-new", "{0} holds nothing that is not here already."},
    SentenceRow {"merge-clips-in-both",
        "Clips that are in both sessions, by their content: {0}. Each is here once."},
    SentenceRow {"merge-out-of-date",
        "Rig checks that came in change what {0} of the clips here would be measured with; measure "
        "them again."},
    SentenceRow {"merge-setting-taken-as-one",
        "Link setting {0} is in both sessions, and they contradict each other nowhere: it was "
        "taken "
        "for the same."},
    SentenceRow {"merge-rig-taken-as-one",
        "Rig {0} is in both sessions, and they contradict each other nowhere: it was taken for the "
        "same."},
    SentenceRow {"merge-kept-here",
        "In {0} {1}, {2} is {3} here and {4} in the other session; the one here stands."},
    SentenceRow {"merge-took-there",
        "In {0} {1}, {2} was {3} here and is {4} in the other session, which was taken over."},
    SentenceRow {"merge-setting-apart",
        "Link setting {0} is another one in the other session ({1}); it was brought in as {2}."},
    SentenceRow {"merge-rig-apart",
        "Rig {0} is another one in the other session ({1}); it was brought in as {2}."},
    SentenceRow {"merge-run-apart",
        "Run {0} of {1} is another power-up in the other session; it was brought in as {2}."},
    SentenceRow {"merge-no-press",
        "In clip {0}, press {1} of one session was changed by hand ({2}), and the measurement that "
        "stands has no such press: it was not taken over."},
    // The readout check.
    SentenceRow {"readout-too-few",
        "Pairs of a readout and a measured latency: {0}. Two are needed at least, and 30 make a "
        "good check; type them in with twinlamp session readout."},
    SentenceRow {"readout-reads-less",
        "The goggle displays {0} ms less than measured on average (readout less measured, 95 % "
        "interval {1} to {2} ms; {3} {4})."},
    SentenceRow {"readout-reads-more",
        "The goggle displays {0} ms more than measured on average (readout less measured, 95 % "
        "interval {1} to {2} ms; {3} {4})."},
    SentenceRow {"readout-bias-undecided",
        "Cannot tell yet whether the goggle displays less or more than measured: readout less "
        "measured is {0} ms on average (95 % interval {1} to {2} ms; {3} {4})."},
    SentenceRow {"readout-few-runs",
        "Runs with readouts: {0}. Presses of one run share an offset, so restart the link and film "
        "again until there are three runs or more."},
    SentenceRow {"readout-few-settings",
        "Link settings with readouts: {0}. Three or more are needed to tell."},
    SentenceRow {"readout-limits",
        "95 % of readouts lie between {0} ms ({1} to {2}) and {3} ms ({4} to {5}) of the measured "
        "latency: the limits of agreement, as if pairs were independent and the differences "
        "normal."},
    SentenceRow {"readout-limits-by-runs",
        "95 % of readouts of a new run lie between {0} ms ({1} to {2}) and {3} ms ({4} to {5}) of "
        "the measured latency: the limits of agreement for repeated pairs, from the scatter within "
        "runs (SD {6} ms) and of the runs' offsets (SD {7} ms), where both are normal."},
    SentenceRow {"readout-few-pairs", "With {0} pairs each limit is known to +- {1} ms only."},
    SentenceRow {"readout-proportional",
        "The difference changes by {0} ms with each ms of latency (95 % interval {1} to {2}): one "
        "number does not correct the readout. Unequal scatter of the two does this too."},
    SentenceRow {"readout-not-proportional",
        "The difference is not shown to change with the latency ({0} ms with each ms, 95 % "
        "interval "
        "{1} to {2})."},
    SentenceRow {"readout-proportional-by-runs",
        "That change is the one within runs, and its interval goes over runs: offsets between runs "
        "are no part of it."},
    SentenceRow {"readout-proportional-independent",
        "That change is taken over all pairs, as if they were independent: three runs whose pairs "
        "differ in latency would tell it from offsets between runs."},
    SentenceRow {"readout-proportional-unknown",
        "Whether the difference changes with the latency cannot be told: that needs three pairs at "
        "different latencies."},
    SentenceRow {"readout-own-definition",
        "A readout holds what its maker counts as latency; where that is less than from glass to "
        "glass, a difference is no fault of either."},
    SentenceRow {"readout-presses-left-out",
        "Readouts left out: {0} (presses set aside, without an answer, or of off edges)."},
    SentenceRow {
        "readout-settings-left-out", "Link settings left out: {0} (without a measured median)."},
};

} // namespace

std::span<const SentenceRow> sessionSentenceRows() { return rows; }

} // namespace twinlamp
