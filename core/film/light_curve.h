// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace twinlamp::film {

/// Share of a span of time, [start, end). Unit: ms.
struct Span
{
    double startMs = 0.0;
    double endMs = 0.0;

    [[nodiscard]] double lengthMs() const { return endMs - startMs; }
};

/// Light over time, made of exponential approaches: from each start on it runs from where it is
/// towards a target. Steps are approaches with time constant 0. Its integrals are exact.
class LightCurve
{
public:
    /// Constant at `initial` until the first approach.
    explicit LightCurve(double initial);

    /// From `atMs` on, towards `target`. Calls come in time order; one at the same instant replaces
    /// the one before.
    void approach(double atMs, double target, double timeConstantMs);

    /// Light at t. `hint` speeds up calls in rising order; any value is right.
    [[nodiscard]] double value(double tMs, std::size_t& hint) const;
    /// Integral of the light over the span. Unit: light x ms.
    [[nodiscard]] double integral(Span span, std::size_t& hint) const;
    [[nodiscard]] double mean(Span span, std::size_t& hint) const;
    /// First instant in the span at which the light is at or past `level`, coming from below
    /// (`rising`) or from above; nothing where it never is.
    [[nodiscard]] std::optional<double> crossing(double level, bool rising, Span within) const;

private:
    struct Piece
    {
        double startMs;
        double target;
        double timeConstantMs;
        double startValue;
        double integralBefore; ///< from the first piece's start to this one's
    };

    [[nodiscard]] std::size_t find(double tMs, std::size_t& hint) const;
    [[nodiscard]] static double valueIn(const Piece& piece, double tMs);
    [[nodiscard]] static double integralIn(const Piece& piece, double tMs);

    std::vector<Piece> m_pieces;
};

} // namespace twinlamp::film
