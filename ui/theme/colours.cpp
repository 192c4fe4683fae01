// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/theme/colours.h"

#include <QJsonDocument>
#include <QJsonObject>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr std::array<const char*, colourRoleCount> roleNames {"ground", "surface", "raised", "line",
    "strongLine", "text", "quietText", "disabledText", "selection", "reference", "goggle", "panel",
    "doubt", "footageGround"};

double linearChannel(double value)
{
    // WCAG 2.1, "relative luminance"; the threshold of the sRGB standard.
    return value <= 0.04045 ? value / 12.92 : std::pow((value + 0.055) / 1.055, 2.4);
}

double relativeLuminance(const QColor& colour)
{
    return 0.2126 * linearChannel(colour.redF()) + 0.7152 * linearChannel(colour.greenF())
        + 0.0722 * linearChannel(colour.blueF());
}

} // namespace

std::optional<Colours> Colours::fromJson(const QByteArray& json)
{
    const QJsonObject object = QJsonDocument::fromJson(json).object();
    Colours colours;
    for (std::size_t i = 0; i < colourRoleCount; ++i) {
        colours.m_colours[i] = QColor(object.value(QLatin1String(roleNames[i])).toString());
        if (!colours.m_colours[i].isValid()) {
            return std::nullopt;
        }
    }
    return colours;
}

QString Colours::filledIn(QString sheet) const
{
    for (std::size_t i = 0; i < colourRoleCount; ++i) {
        // Names end where the letters end, so that @line does not eat the start of a longer name.
        const QString name = QLatin1Char('@') + QLatin1String(roleNames[i]);
        for (qsizetype at = sheet.indexOf(name); at >= 0; at = sheet.indexOf(name, at + 1)) {
            const qsizetype end = at + name.size();
            if (end == sheet.size() || !sheet.at(end).isLetterOrNumber()) {
                sheet.replace(at, name.size(), m_colours[i].name());
            }
        }
    }
    return sheet;
}

double contrastRatio(const QColor& a, const QColor& b)
{
    const double la = relativeLuminance(a);
    const double lb = relativeLuminance(b);
    return (std::max(la, lb) + 0.05) / (std::min(la, lb) + 0.05);
}

} // namespace twinlamp::ui
