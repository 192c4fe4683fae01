// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QStringList>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr int mostDecimals = 3;

QString tr(const char* text) { return QCoreApplication::translate("Figures", text); }

QString secondsText(std::int64_t ns)
{
    return numberText(static_cast<double>(ns) * 1e-9, 4) + thinSpace + QLatin1Char('s');
}

} // namespace

int decimalsFor(std::optional<double> uncertainty, int otherwise)
{
    if (!uncertainty || !(*uncertainty > 0.0)) {
        return otherwise;
    }
    const double exponent = std::floor(std::log10(*uncertainty));
    const double leading = *uncertainty / std::pow(10.0, exponent);
    // 1.95 to 1.99 would round to a leading 2, which needs one digit only.
    const int digits = leading < 1.95 ? 2 : 1;
    return std::clamp(digits - 1 - static_cast<int>(exponent), 0, mostDecimals);
}

QString numberText(double value, int decimals)
{
    QString text = QString::number(value, 'f', decimals);
    if (text.startsWith(QLatin1Char('-'))) {
        const bool isZero = text.toDouble() == 0.0;
        text = isZero ? text.mid(1) : QString(QChar(0x2212)) + text.mid(1);
    }
    return text;
}

QString msText(double ms, int decimals)
{
    return numberText(ms, decimals) + thinSpace + QLatin1String("ms");
}

QString latencyText(Latency value, std::optional<Latency> uncertainty)
{
    if (!uncertainty) {
        return msText(toMs(value), 2);
    }
    const int decimals = decimalsFor(toMs(*uncertainty), 2);
    return numberText(toMs(value), decimals) + QLatin1Char(' ') + plusMinus
        + msText(toMs(*uncertainty), decimals);
}

QString realTimeText(RealTime time) { return secondsText(time.ns); }

QString playTimeText(PlayTime time) { return secondsText(time.ns); }

QString rateText(double hz)
{
    QString text = QString::number(hz, 'f', 3);
    while (text.endsWith(QLatin1Char('0'))) {
        text.chop(1);
    }
    if (text.endsWith(QLatin1Char('.'))) {
        text.chop(1);
    }
    return text;
}

std::optional<double> numberIn(const QString& text)
{
    QString number = text.trimmed();
    number.replace(QLatin1Char(','), QLatin1Char('.'));
    number.replace(QChar(0x2212), QLatin1Char('-'));
    bool isNumber = false;
    const double value = number.toDouble(&isNumber);
    return isNumber ? std::optional(value) : std::nullopt;
}

QString countText(std::int64_t count, const QString& one, const QString& many)
{
    return (count == 1 ? one : many).arg(count);
}

QString edgeText(Edge edge) { return edge == Edge::On ? tr("on") : tr("off"); }

QString flagName(Flag flag)
{
    switch (flag) {
    case Flag::NoResponse:
        return tr("no answer");
    case Flag::TooShortForLink:
        return tr("hold too short for the link");
    case Flag::AmbiguousPairing:
        return tr("more than one pairing fits");
    case Flag::ReferenceClipped:
        return tr("reference lamp clipped");
    case Flag::ReferenceWeak:
        return tr("reference lamp weak");
    case Flag::GoggleClipped:
        return tr("goggle lamp clipped");
    case Flag::GoggleWeak:
        return tr("goggle lamp weak");
    case Flag::LampModulated:
        return tr("lamp dimmed by pulses");
    case Flag::NotSettled:
        return tr("not settled");
    case Flag::PanelStrobed:
        return tr("panel strobed");
    case Flag::StrobeUnresolved:
        return tr("panel strobe not resolved");
    case Flag::OnsetInGap:
        return tr("onset may hide between exposures");
    case Flag::ExposureUnknown:
        return tr("exposure unknown");
    case Flag::LostFrames:
        return tr("frames lost here");
    case Flag::DamagedFrames:
        return tr("frames damaged here");
    case Flag::ClipEdge:
        return tr("too close to the clip's end");
    case Flag::PanelNoFigure:
        return tr("no full-frame figure");
    case Flag::FullVisiblePart:
        return tr("panel partly in view");
    case Flag::RowSkewInside:
        return tr("row skew inside");
    case Flag::FewFrames:
        return tr("few frames");
    case Flag::OneSign:
        return tr("one sign only");
    case Flag::LampSlow:
        return tr("reference lamp slow");
    case Flag::FirstPictureFaint:
        return tr("first picture faint");
    case Flag::ShapeUnclear:
        return tr("shape unclear");
    case Flag::CorrectedByHand:
        return tr("corrected by hand");
    }
    return {};
}

QString doubtsText(const Flags& flags)
{
    QStringList words;
    for (const Flag flag : flags) {
        words << flagName(flag);
    }
    return words.join(QStringLiteral(", "));
}

} // namespace twinlamp::ui
