// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/flag.h"

#include "core/base/contracts.h"

#include <algorithm>
#include <array>
#include <string>

namespace twinlamp {

namespace {

struct FlagText
{
    Flag flag;
    std::string_view id;
    FlagWords words;
};

// A new flag needs its enumerator and its row here, at the same place: what is missing or out of
// order does not compile.
constexpr std::array<FlagText, flagCount> flagTexts {{
    {Flag::NoResponse, "no-response",
        {"The goggle lamp did not answer within the search span.",
            "The press has no latency and counts as later than any limit.",
            "Widen the search span if the answer is only late; else look for a link or a "
            "goggle that drops frames."}},
    {Flag::TooShortForLink, "too-short-for-link",
        {"The hold was shorter than one frame of the link and left no answer.",
            "The press is set aside: it says nothing against the link.",
            "Hold each press longer than two frames of the link camera."}},
    {Flag::AmbiguousPairing, "ambiguous-pairing",
        {"More than one pairing of lamp edges and answers fits, or the answer that fits comes "
         "before "
         "the press.",
            "The press is set aside, for its latency could be that of a neighbour.",
            "Leave more time between presses than the longest latency."}},
    {Flag::ReferenceClipped, "reference-clipped",
        {"The reference lamp is at the end of the camera's range.",
            "A partly lit frame cannot be read, so the onset is known to a frame only.",
            "Diffuse the lamp (paper, frosted tape) or shorten the exposure."}},
    {Flag::ReferenceWeak, "reference-weak",
        {"The reference lamp's step is close to the noise.",
            "Its onset, and with it the latency, is less sure.",
            "Move the lamp closer, give it more light, or draw its region more tightly."}},
    {Flag::GoggleClipped, "goggle-clipped",
        {"The goggle lamp reaches the end of the camera's range.",
            "Its step is cut short, which can move first light early.",
            "Lower the goggle's brightness or shorten the exposure."}},
    {Flag::GoggleWeak, "goggle-weak",
        {"The goggle lamp's step is close to the noise.",
            "First light, and with it the latency, is less sure.",
            "Draw its region more tightly, or bring the lamp closer to the link camera."}},
    {Flag::LampModulated, "lamp-modulated",
        {"The lamp is dimmed by pulses.",
            "It is taken to be lit from its first pulse to its last, and the half width holds the "
            "dark between them; the link's pictures differ by the pulses that they caught, which "
            "can move first light.",
            "Drive the lamp with steady current; dim it with a resistor or a diffuser."}},
    {Flag::NotSettled, "not-settled",
        {"The next edge came before the goggle lamp had reached its final level.",
            "The level is taken up to that edge, which can move first light a little.",
            "Hold each press longer."}},
    {Flag::PanelStrobed, "panel-strobed",
        {"The panel flashes, and each of its pulses was seen.",
            "First light is the first lit instant after the change: a picture that came while the "
            "panel was dark shows with the next pulse, up to a period later.",
            "Raise the goggle's brightness where that ends the flashing; else compare only "
            "settings "
            "that flash alike."}},
    {Flag::StrobeUnresolved, "strobe-unresolved",
        {"The panel flashes faster than the camera resolves.",
            "First light is that of the mean over one period, and half a period is added to "
            "the doubt.",
            "Film at a higher rate, or raise the goggle's brightness where that ends the "
            "flashing."}},
    {Flag::OnsetInGap, "onset-in-gap",
        {"No frame is partly lit: the reference lamp may have switched between two exposures.",
            "The onset lies anywhere in that gap, and the half width holds all of it.",
            "Lengthen the exposure towards the frame interval."}},
    {Flag::ExposureUnknown, "exposure-unknown",
        {"The exposure is neither given nor told by partly lit frames.",
            "The share of a partly lit frame cannot be turned into a time, so the onset is "
            "less sure.",
            "Give the exposure, or film more presses so that it can be estimated."}},
    {Flag::LostFrames, "lost-frames",
        {"Frames were lost from the recording near this press.",
            "What happened in the gap is known only to its length, so the latency is less "
            "sure.",
            "Record to a faster card or at a lower resolution."}},
    {Flag::DamagedFrames, "damaged-frames",
        {"Frames near this press could not be decoded.",
            "What happened in the gap is known only to its length, so the latency is less "
            "sure.",
            "Copy the clip again from the camera."}},
    {Flag::ClipEdge, "clip-edge",
        {"The press is too close to the start or the end of the clip.",
            "Its levels rest on few frames; where the answer is cut off, the press is set "
            "aside.",
            "Film a second more before the first press and after the last one."}},
    {Flag::PanelNoFigure, "panel-no-figure",
        {"Too little of the panel changed with the lamp.",
            "A full frame cannot be timed; the latency is not touched.",
            "Let the lamp light more of the link camera's view."}},
    {Flag::FullVisiblePart, "full-visible-part",
        {"Edges of the panel are out of the camera's view.",
            "The full-frame figure is for the visible part and comes out short.",
            "Move the camera back until the whole panel is in view."}},
    {Flag::RowSkewInside, "row-skew-inside",
        {"The line time of the camera's rolling shutter is not known.",
            "The row skew between the two lamps is inside the latency.",
            "Make a zero check, give the line time, or bring both lamps to the same rows."}},
    {Flag::FewFrames, "few-frames",
        {"The capture rate is low for an edge this fast.",
            "The latency rests on a frame or two and is less sure.", "Film at a higher rate."}},
    {Flag::OneSign, "one-sign",
        {"Only one sign tells this figure.",
            "Nothing else confirms it, so a fault in that sign would go unseen.",
            "Film a moving picture on the panel or more presses, which give a second sign."}},
    {Flag::LampSlow, "lamp-slow",
        {"The reference lamp takes a while to follow its switch.",
            "Its tail is fitted and taken out of the onset; the doubt of that is in the half "
            "width.",
            "Drive a plain LED, with no phosphor, capacitor or dimmer behind the switch."}},
    {Flag::FirstPictureFaint, "first-picture-faint",
        {"The first new picture shows about a tenth of the step.",
            "First light lies in it or a link frame later, in the next one; the half width holds "
            "both.",
            "Film more presses, for this one fell so by chance; more light on the goggle lamp "
            "narrows the band in which it happens."}},
    {Flag::ShapeUnclear, "shape-unclear",
        {"Several shapes of the panel's answer explain the footage.",
            "First light is that of the shape in the middle, and most of the half width comes "
            "from not knowing which it is.",
            "Film more presses at moments of their own, or at a higher rate; mark the panel, whose "
            "sweep tells a part of the shape."}},
    {Flag::CorrectedByHand, "corrected-by-hand",
        {"A mark of this press was moved by hand.",
            "The figure follows the moved mark, and a frame's doubt for the hand is added.",
            "Put the mark back to let the measured place count again."}},
}};

constexpr bool rowsFollowTheFlags()
{
    for (std::size_t i = 0; i < flagTexts.size(); ++i) {
        const FlagText& text = flagTexts[i];
        if (static_cast<std::size_t>(text.flag) != i || text.id.empty() || text.words.seen.empty()
            || text.words.effect.empty() || text.words.remedy.empty()) {
            return false;
        }
    }
    return true;
}

static_assert(rowsFollowTheFlags(), "a flag has no row, or rows stand in another order");

std::array<std::string, flagCount> joinedSentences()
{
    std::array<std::string, flagCount> sentences;
    std::ranges::transform(flagTexts, sentences.begin(), [](const FlagText& text) {
        std::string sentence(text.words.seen);
        sentence.append(" ").append(text.words.effect).append(" ").append(text.words.remedy);
        return sentence;
    });
    return sentences;
}

const FlagText& textOf(Flag flag)
{
    const auto row = static_cast<std::size_t>(flag);
    TL_EXPECTS(row < flagTexts.size());
    return flagTexts[row];
}

} // namespace

std::string_view flagId(Flag flag) { return textOf(flag).id; }

std::optional<Flag> flagFromId(std::string_view id)
{
    const auto found = std::ranges::find(flagTexts, id, &FlagText::id);
    return found == flagTexts.end() ? std::nullopt : std::optional<Flag>(found->flag);
}

FlagWords flagWords(Flag flag) { return textOf(flag).words; }

std::string_view flagSentence(Flag flag)
{
    static const std::array<std::string, flagCount> sentences = joinedSentences();
    const auto row = static_cast<std::size_t>(flag);
    TL_EXPECTS(row < sentences.size());
    return sentences[row];
}

bool canSetAside(Flag flag)
{
    return flag == Flag::AmbiguousPairing || flag == Flag::TooShortForLink
        || flag == Flag::ClipEdge;
}

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
