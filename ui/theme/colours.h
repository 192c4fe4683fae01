// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QColor>
#include <QHash>
#include <QString>

#include <array>
#include <optional>

namespace twinlamp::ui {

enum class Scheme
{
    Light,
    Dark
};

/// What a colour is for; names in the theme files are these in camelCase.
enum class ColourRole
{
    Ground, ///< behind everything
    Surface, ///< behind what can be edited
    Raised, ///< behind what asks or is pointed at
    Line,
    StrongLine, ///< outlines that must be seen, 3:1 against the ground
    Text,
    QuietText,
    DisabledText,
    Selection,
    Reference,
    Goggle,
    Panel,
    Doubt,
    FootageGround
};

inline constexpr std::size_t colourRoleCount = 14;

/// One scheme's colours, read from resources/themes.
class Colours
{
public:
    Colours() = default;

    /// Reads a theme file. Nothing where a role is missing or no colour.
    [[nodiscard]] static std::optional<Colours> fromJson(const QByteArray& json);

    [[nodiscard]] QColor operator[](ColourRole role) const
    {
        return m_colours.at(static_cast<std::size_t>(role));
    }

    /// `sheet` with every @name replaced by its colour.
    [[nodiscard]] QString filledIn(QString sheet) const;

private:
    std::array<QColor, colourRoleCount> m_colours;
};

/// Contrast ratio of two opaque colours, 1 to 21 (WCAG 2.1, relative luminance of sRGB).
[[nodiscard]] double contrastRatio(const QColor& a, const QColor& b);

} // namespace twinlamp::ui
