// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/sentence.h"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace twinlamp {

namespace {

using TableRow = std::pair<std::string_view, std::string_view>;

constexpr std::array table {
    TableRow {
        "frames-lost", "{0} frames were lost from the recording; the others keep their true time."},
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
        "The line time of a rolling shutter is not known: {0} rows between the lamps may hide a "
        "skew. Make a zero check "
        "or give --line-time."},
    TableRow {"no-zero-check", "No zero check was applied."},
    TableRow {"link-frame-rate-unknown",
        "No link spread: the link camera's frame rate is not given. Give it with "
        "--link-frame-rate."},
    TableRow {"sparse-not-proved",
        "A sparse scan could not prove that no press was missed, so every frame was decoded."},
    TableRow {"sparse-full",
        "This version decodes every frame; --scan sparse gives the same figures as full."},
    TableRow {"held-not-seen", "The panel shows no moving picture, so held frames cannot be told."},
    TableRow {"panel-not-given", "No panel region: no full-frame figures."},
    TableRow {"on-off-differ",
        "Latency of on and off edges differs by {0} ms; a lamp that saturates the link camera does "
        "this."},
    TableRow {"located-unsure",
        "The {0} region was located with low confidence ({1}); check it before trusting the "
        "figures."},
    TableRow {"set-aside", "{0} presses were set aside: {1}."},
    TableRow {"rate-contradicts",
        "The capture rate {0} Hz does not fit the file's own time stamps ({1} Hz play rate); check "
        "which one is real."},
};

} // namespace

std::string english(const Sentence& sentence)
{
    const auto row = std::ranges::find(table, sentence.id, &TableRow::first);
    if (row == table.end()) {
        return sentence.id;
    }
    std::string text(row->second);
    for (std::size_t i = 0; i < sentence.values.size(); ++i) {
        const std::string mark = "{" + std::to_string(i) + "}";
        for (std::size_t at = text.find(mark); at != std::string::npos;
             at = text.find(mark, at + sentence.values[i].size())) {
            text.replace(at, mark.size(), sentence.values[i]);
        }
    }
    return text;
}

} // namespace twinlamp
