// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/onset/step_parts.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace twinlamp::onset {

namespace {

/// Normal equations of a linear model, symmetric.
struct Equations
{
    std::size_t size = 0;
    std::vector<double> matrix; ///< size x size
    std::vector<double> right;
    double squares = 0.0; ///< of the data
    double rows = 0.0;

    explicit Equations(std::size_t n)
        : size(n)
        , matrix(n * n, 0.0)
        , right(n, 0.0)
    {
    }

    void add(std::span<const double> x, double y)
    {
        for (std::size_t i = 0; i < size; ++i) {
            for (std::size_t j = 0; j < size; ++j) {
                matrix[i * size + j] += x[i] * x[j];
            }
            right[i] += x[i] * y;
        }
        squares += y * y;
        rows += 1.0;
    }

    /// Solution over the unknowns in use, 0 for the others.
    [[nodiscard]] std::vector<double> solved(const std::vector<bool>& use) const
    {
        std::vector<double> a = matrix;
        std::vector<double> b = right;
        for (std::size_t i = 0; i < size; ++i) {
            for (std::size_t j = 0; j < size; ++j) {
                if (!use[i] || !use[j]) {
                    a[i * size + j] = i == j ? 1.0 : 0.0;
                }
            }
            b[i] = use[i] ? b[i] : 0.0;
        }
        // Positive definite but for steps that cannot be told apart: those get a little weight.
        for (std::size_t i = 0; i < size; ++i) {
            a[i * size + i] *= 1.0 + 1e-9;
        }
        eliminate(a, b);
        return b;
    }

    [[nodiscard]] double left(const std::vector<double>& solution) const
    {
        return std::max(
            0.0, squares - std::inner_product(right.begin(), right.end(), solution.begin(), 0.0));
    }

private:
    void eliminate(std::vector<double>& a, std::vector<double>& b) const
    {
        for (std::size_t i = 0; i < size; ++i) {
            const double pivot = std::max(a[i * size + i], 1e-12);
            for (std::size_t r = 0; r < size; ++r) {
                if (r == i) {
                    continue;
                }
                const double factor = a[r * size + i] / pivot;
                for (std::size_t c = i; c < size; ++c) {
                    a[r * size + c] -= factor * a[i * size + c];
                }
                b[r] -= factor * b[i];
            }
        }
        for (std::size_t i = 0; i < size; ++i) {
            b[i] /= std::max(a[i * size + i], 1e-12);
        }
    }
};

Equations equationsOf(const TimedTrace& trace, const AnswerWindow& window, const ShapeTable& table,
    std::span<const double> startsMs)
{
    Equations equations(startsMs.size() + 1);
    std::vector<double> x(startsMs.size() + 1, 1.0);
    for (std::size_t k = window.firstFrame; k < window.lastFrame; ++k) {
        if (!std::isfinite(trace.light[k])) {
            continue;
        }
        const double time = trace.startMs[k] + trace.rows.meanRowMs();
        for (std::size_t i = 0; i < startsMs.size(); ++i) {
            x[i + 1] = table.at(time - startsMs[i]);
        }
        equations.add(x, static_cast<double>(trace.light[k]));
    }
    return equations;
}

} // namespace

double StepParts::step() const { return std::accumulate(parts.begin(), parts.end(), 0.0); }

std::optional<StepParts> fitStepParts(const TimedTrace& trace, const AnswerWindow& window,
    const ShapeTable& table, std::span<const double> startsMs)
{
    const Equations equations = equationsOf(trace, window, table, startsMs);
    const auto unknowns = static_cast<double>(startsMs.size() + 1);
    if (equations.rows < unknowns + 1.0) {
        return std::nullopt;
    }
    const double sign = window.edge == Edge::On ? 1.0 : -1.0;
    std::vector<bool> use(startsMs.size() + 1, true);
    while (true) {
        const std::vector<double> solution = equations.solved(use);
        std::size_t worst = 0;
        for (std::size_t i = 1; i < solution.size(); ++i) {
            if (sign * solution[i] < 0.0
                && (worst == 0 || sign * solution[i] < sign * solution[worst])) {
                worst = i;
            }
        }
        if (worst == 0) {
            StepParts parts {solution[0], {solution.begin() + 1, solution.end()},
                std::sqrt(equations.left(solution) / (equations.rows - unknowns))};
            return parts.step() != 0.0 ? std::optional(std::move(parts)) : std::nullopt;
        }
        use[worst] = false;
    }
}

} // namespace twinlamp::onset
