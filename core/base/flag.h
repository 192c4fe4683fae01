// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace twinlamp {

/// Reasons to doubt or to set aside a press. Texts of the ids stand in JSON, CSV and the session:
/// never renamed.
enum class Flag : std::uint8_t
{
    NoResponse, ///< no answer of the goggle lamp within the search span
    TooShortForLink, ///< hold shorter than a link frame that left no answer; not counted against
                     ///< the link
    AmbiguousPairing, ///< another pairing explains the edges nearly as well; set aside
    ReferenceClipped, ///< lamp at the end of the code range: no usable fraction
    ReferenceWeak, ///< step of the reference lamp near the noise
    GoggleClipped,
    GoggleWeak,
    LampModulated, ///< the lamp is dimmed by pulses
    NotSettled, ///< next edge came before the final level was reached
    PanelStrobed, ///< the panel flashes slowly enough for each pulse to be seen
    StrobeUnresolved, ///< the panel is strobed faster than the camera resolves
    OnsetInGap, ///< the onset may hide between two exposures
    ExposureUnknown,
    LostFrames, ///< frames lost from the recording near the onset
    DamagedFrames, ///< frames that could not be decoded near the onset
    ClipEdge, ///< the clip starts or ends too close to the edge
    PanelNoFigure, ///< too few cells of the panel changed
    FullVisiblePart, ///< panel edges out of view
    RowSkewInside, ///< line time unknown: the row skew is inside the figure
    FewFrames, ///< capture rate low for this edge
    OneSign, ///< a figure that rests on one sign only
    LampSlow, ///< the reference lamp takes a while to follow its switch
    FirstPictureFaint, ///< the first new picture shows about a tenth of the step
    ShapeUnclear, ///< several shapes of the panel's answer fit, and that is most of the doubt
    CorrectedByHand ///< stays the last one: new flags go before it (and into the table of flag.cpp)
};

inline constexpr std::size_t flagCount = static_cast<std::size_t>(Flag::CorrectedByHand) + 1;

/// What a flag tells the tester: three sentences, each with its full stop.
struct FlagWords
{
    std::string_view seen; ///< what was seen
    std::string_view effect; ///< what it does to the figure
    std::string_view remedy; ///< how to mend the rig
};

[[nodiscard]] std::string_view flagId(Flag flag);
[[nodiscard]] std::optional<Flag> flagFromId(std::string_view id);
[[nodiscard]] FlagWords flagWords(Flag flag);
/// The three of flagWords, one after another.
[[nodiscard]] std::string_view flagSentence(Flag flag);
/// Whether the program sets presses aside for this reason; see setAside in press.h.
[[nodiscard]] bool canSetAside(Flag flag);

using Flags = std::vector<Flag>;
[[nodiscard]] bool hasFlag(const Flags& flags, Flag flag);
/// Adds `flag` unless it is there already.
void addFlag(Flags& flags, Flag flag);

} // namespace twinlamp
