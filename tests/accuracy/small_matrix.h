// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

namespace twinlamp::accuracy {

template<std::size_t N> using Vec = std::array<double, N>;
template<std::size_t R, std::size_t C = R> using Matrix = std::array<std::array<double, C>, R>;

template<std::size_t N> [[nodiscard]] double dot(const Vec<N>& a, const Vec<N>& b)
{
    double sum = 0.0;
    for (std::size_t i = 0; i < N; ++i) {
        sum += a[i] * b[i];
    }
    return sum;
}

template<std::size_t R, std::size_t C>
[[nodiscard]] Vec<R> product(const Matrix<R, C>& matrix, const Vec<C>& vector)
{
    Vec<R> result {};
    for (std::size_t i = 0; i < R; ++i) {
        result[i] = dot(matrix[i], vector);
    }
    return result;
}

/// Adds weight * a b^T.
template<std::size_t R, std::size_t C>
void addOuter(Matrix<R, C>& matrix, const Vec<R>& a, const Vec<C>& b, double weight)
{
    for (std::size_t i = 0; i < R; ++i) {
        for (std::size_t j = 0; j < C; ++j) {
            matrix[i][j] += weight * a[i] * b[j];
        }
    }
}

/// Inverse by Gauss and Jordan with row exchange; nothing where a pivot vanishes against the
/// largest element of its row.
template<std::size_t N> [[nodiscard]] std::optional<Matrix<N>> inverse(Matrix<N> matrix)
{
    Matrix<N> result {};
    Vec<N> largest {};
    for (std::size_t i = 0; i < N; ++i) {
        result[i][i] = 1.0;
        for (const double value : matrix[i]) {
            largest[i] = std::max(largest[i], std::abs(value));
        }
    }
    for (std::size_t column = 0; column < N; ++column) {
        std::size_t pivot = column;
        for (std::size_t row = column + 1; row < N; ++row) {
            pivot = std::abs(matrix[row][column]) > std::abs(matrix[pivot][column]) ? row : pivot;
        }
        constexpr double vanishing = 1e-13;
        if (!(std::abs(matrix[pivot][column]) > vanishing * largest[pivot])) {
            return std::nullopt;
        }
        std::swap(matrix[pivot], matrix[column]);
        std::swap(result[pivot], result[column]);
        std::swap(largest[pivot], largest[column]);
        const double scale = 1.0 / matrix[column][column];
        for (std::size_t j = 0; j < N; ++j) {
            matrix[column][j] *= scale;
            result[column][j] *= scale;
        }
        for (std::size_t row = 0; row < N; ++row) {
            const double factor = row == column ? 0.0 : matrix[row][column];
            for (std::size_t j = 0; factor != 0.0 && j < N; ++j) {
                matrix[row][j] -= factor * matrix[column][j];
                result[row][j] -= factor * result[column][j];
            }
        }
    }
    return result;
}

} // namespace twinlamp::accuracy
