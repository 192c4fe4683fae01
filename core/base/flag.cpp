// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/flag.h"

#include "core/base/contracts.h"

#include <algorithm>

namespace twinlamp {

namespace {

struct FlagText
{
    Flag flag;
    std::string_view id;
    std::string_view sentence;
};

constexpr std::array<FlagText, flagCount> flagTexts {{
    {Flag::NoResponse, "no-response",
        "The goggle lamp did not answer within the search span: the press counts as lost. "
        "If the answer is there but later, widen the search span."},
    {Flag::TooShortForLink, "too-short-for-link",
        "The hold was shorter than one frame of the link and left no answer: it is not counted "
        "against the link. "
        "Hold each press longer."},
    {Flag::AmbiguousPairing, "ambiguous-pairing",
        "More than one pairing of lamp edges and answers fits: the press is set aside. "
        "Leave more time between presses than the latency."},
    {Flag::ReferenceClipped, "reference-clipped",
        "The reference lamp is at the end of the camera's range, so a partly lit frame cannot be "
        "read and the onset is "
        "known to a frame only. Diffuse the lamp or shorten the exposure."},
    {Flag::ReferenceWeak, "reference-weak",
        "The reference lamp's step is close to the noise, so its onset is less sure. "
        "Move the lamp closer or draw its region more tightly."},
    {Flag::GoggleClipped, "goggle-clipped",
        "The goggle lamp reaches the end of the camera's range, which can move first light early. "
        "Lower the goggle's brightness or shorten the exposure."},
    {Flag::GoggleWeak, "goggle-weak",
        "The goggle lamp's step is close to the noise, so first light is less sure. "
        "Draw its region more tightly or bring the lamp closer to the link camera."},
    {Flag::LampModulated, "lamp-modulated",
        "The lamp is dimmed by pulses, which make false edges. Drive it with steady current."},
    {Flag::NotSettled, "not-settled",
        "The next edge came before the final level was reached, so the level is taken up to that "
        "edge. "
        "Hold each press longer."},
    {Flag::StrobeUnresolved, "strobe-unresolved",
        "The panel flashes faster than the camera resolves: first light is that of the mean over "
        "one period. "
        "Film at a higher rate."},
    {Flag::OnsetInGap, "onset-in-gap",
        "The reference lamp may have switched between two exposures, where the camera sees "
        "nothing. "
        "Lengthen the exposure towards the frame interval."},
    {Flag::ExposureUnknown, "exposure-unknown",
        "The exposure is neither given nor told by partly lit frames, so the onset is less sure. "
        "Give the exposure or film more presses."},
    {Flag::LostFrames, "lost-frames",
        "Frames were lost from the recording near this press, so its onset is known only to the "
        "gap. "
        "Use a faster card or a lower resolution."},
    {Flag::DamagedFrames, "damaged-frames",
        "Frames near this press could not be decoded, so its onset is known only to the gap. Copy "
        "the clip again."},
    {Flag::ClipEdge, "clip-edge",
        "The press is too close to the start or the end of the clip. Film a second more at both "
        "ends."},
    {Flag::PanelNoFigure, "panel-no-figure",
        "Too little of the panel changed to time a full frame. Let the lamp light more of the link "
        "camera's view."},
    {Flag::FullVisiblePart, "full-visible-part",
        "Edges of the panel are out of view: the full-frame figure is for the visible part."},
    {Flag::RowSkewInside, "row-skew-inside",
        "The line time of the camera's rolling shutter is not known, so the row skew between the "
        "lamps is inside the "
        "figure. Make a zero check or give the line time."},
    {Flag::FewFrames, "few-frames",
        "The capture rate is low for an edge this fast, so the figure is less sure. Film at a "
        "higher rate."},
    {Flag::OneSign, "one-sign", "The figure rests on one sign only; nothing else confirms it."},
    {Flag::CorrectedByHand, "corrected-by-hand", "A mark of this press was moved by hand."},
}};

const FlagText& textOf(Flag flag)
{
    const auto found = std::ranges::find(flagTexts, flag, &FlagText::flag);
    TL_EXPECTS(found != flagTexts.end());
    return *found;
}

} // namespace

std::string_view flagId(Flag flag) { return textOf(flag).id; }

std::optional<Flag> flagFromId(std::string_view id)
{
    const auto found = std::ranges::find(flagTexts, id, &FlagText::id);
    return found == flagTexts.end() ? std::nullopt : std::optional<Flag>(found->flag);
}

std::string_view flagSentence(Flag flag) { return textOf(flag).sentence; }

bool hasFlag(const Flags& flags, Flag flag)
{
    return std::ranges::find(flags, flag) != flags.end();
}

void addFlag(Flags& flags, Flag flag)
{
    if (!hasFlag(flags, flag)) {
        flags.push_back(flag);
    }
}

} // namespace twinlamp
