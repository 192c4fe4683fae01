// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/light_curve.h"

#include <algorithm>
#include <cmath>

namespace twinlamp::film {

namespace {

// Far enough before any clip, near enough to keep the digits of the running integral.
constexpr double longAgoMs = -1e5;

} // namespace

LightCurve::LightCurve(double initial)
    : m_pieces {{longAgoMs, initial, 0.0, initial, 0.0}}
{
}

double LightCurve::valueIn(const Piece& piece, double tMs)
{
    if (piece.timeConstantMs <= 0.0 || piece.startValue == piece.target) {
        return piece.target;
    }
    const double past = (tMs - piece.startMs) / piece.timeConstantMs;
    return piece.target + (piece.startValue - piece.target) * std::exp(-past);
}

double LightCurve::integralIn(const Piece& piece, double tMs)
{
    const double elapsed = tMs - piece.startMs;
    if (piece.timeConstantMs <= 0.0 || piece.startValue == piece.target) {
        return piece.target * elapsed;
    }
    return piece.target * elapsed
        - (piece.startValue - piece.target) * piece.timeConstantMs
        * std::expm1(-elapsed / piece.timeConstantMs);
}

void LightCurve::approach(double atMs, double target, double timeConstantMs)
{
    const Piece& last = m_pieces.back();
    const double value = valueIn(last, atMs);
    if (last.target == target && value == target) {
        return;
    }
    const double integral = last.integralBefore + integralIn(last, atMs);
    m_pieces.push_back({atMs, target, timeConstantMs, value, integral});
}

std::size_t LightCurve::find(double tMs, std::size_t& hint) const
{
    const auto holds = [&](std::size_t i) {
        return i < m_pieces.size() && m_pieces[i].startMs <= tMs
            && (i + 1 == m_pieces.size() || tMs < m_pieces[i + 1].startMs);
    };
    if (holds(hint)) {
        return hint;
    }
    if (holds(hint + 1)) {
        return ++hint;
    }
    const auto next = std::ranges::upper_bound(m_pieces, tMs, {}, &Piece::startMs);
    hint = next == m_pieces.begin() ? 0 : static_cast<std::size_t>(next - m_pieces.begin()) - 1;
    return hint;
}

double LightCurve::value(double tMs, std::size_t& hint) const
{
    return valueIn(m_pieces[find(tMs, hint)], tMs);
}

double LightCurve::integral(Span span, std::size_t& hint) const
{
    const std::size_t first = find(span.startMs, hint);
    std::size_t lastHint = first;
    const std::size_t last = find(span.endMs, lastHint);
    const Piece& a = m_pieces[first];
    const Piece& b = m_pieces[last];
    // The difference of the running totals is taken first: it is exact where they are equal.
    return (b.integralBefore - a.integralBefore) + integralIn(b, span.endMs)
        - integralIn(a, span.startMs);
}

double LightCurve::mean(Span span, std::size_t& hint) const
{
    return integral(span, hint) / span.lengthMs();
}

std::optional<double> LightCurve::crossing(double level, bool rising, Span within) const
{
    const auto past = [&](double v) { return rising ? v >= level : v <= level; };
    std::size_t i = 0;
    for (i = find(within.startMs, i); i < m_pieces.size(); ++i) {
        const Piece& piece = m_pieces[i];
        const double start = std::max(piece.startMs, within.startMs);
        const double end = i + 1 < m_pieces.size() ? std::min(m_pieces[i + 1].startMs, within.endMs)
                                                   : within.endMs;
        if (start >= within.endMs) {
            return std::nullopt;
        }
        if (past(valueIn(piece, start))) {
            return start;
        }
        if (end > start && past(valueIn(piece, end)) && piece.timeConstantMs > 0.0) {
            const double gone = (level - piece.target) / (piece.startValue - piece.target);
            return std::clamp(piece.startMs - piece.timeConstantMs * std::log(gone), start, end);
        }
    }
    return std::nullopt;
}

} // namespace twinlamp::film
