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
};

} // namespace

std::span<const SentenceRow> sessionSentenceRows() { return rows; }

} // namespace twinlamp
