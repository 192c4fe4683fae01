// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/what_if_form.h"

#include "ui/theme/theme.h"
#include "ui/widgets/flow_layout.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/what_if_field.h"

#include <QGridLayout>
#include <QLabel>
#include <QPushButton>
#include <QSettings>

#include <algorithm>
#include <utility>

namespace twinlamp::ui {

namespace {

/// The least value of some lines stands for "not told".
std::optional<double> told(double value)
{
    return value > 0.0 ? std::optional(value) : std::nullopt;
}

link::PictureSize& pictureOf(WhatIfLink& link)
{
    if (!link.model.picture) {
        link.model.picture = link::PictureSize {};
    }
    return *link.model.picture;
}

} // namespace

WhatIfForm::WhatIfForm(QWidget* parent)
    : QWidget(parent)
{
    auto* grid = new QGridLayout(this);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setHorizontalSpacing(12);
    grid->setVerticalSpacing(3);
    grid->setColumnStretch(1, 1);
    grid->setColumnStretch(2, 1);
    for (int i = 0; i < 2; ++i) {
        auto* head = new QLabel(tr("link %1").arg(i + 1));
        head->setFont(typeFont(TypeSize::Base, true));
        grid->addWidget(head, 0, i + 1);
    }
    addVideoLines(grid);
    addAirLines(grid);
    addTimeLines(grid);
    addHeading(grid, tr("Loss from power and distance"));
    addRadioLines(grid);
    addPresets(grid);
    WhatIfLink wide;
    wide.model.channelWidthMhz = 40.0;
    setLink(0, {});
    setLink(1, wide);
    restore();
    enableLoss();
}

void WhatIfForm::addLine(QGridLayout* grid, const QString& name, const QString& toolTip,
    const WhatIfRange& range, Line line)
{
    const int row = grid->rowCount();
    auto* label = new QLabel(name);
    label->setToolTip(toolTip);
    grid->addWidget(label, row, 0);
    for (std::size_t i = 0; i < line.fields.size(); ++i) {
        auto* field = new WhatIfField(range);
        field->describe(tr("%1, link %2").arg(name).arg(i + 1), toolTip);
        grid->addWidget(field, row, static_cast<int>(i) + 1);
        line.fields.at(i) = field;
        connect(field, &WhatIfField::changed, this, [this] {
            enableLoss();
            if (!m_filling) {
                Q_EMIT changed();
            }
        });
    }
    m_lines.push_back(std::move(line));
}

void WhatIfForm::addHeading(QGridLayout* grid, const QString& text)
{
    QLabel* heading = headingLabel(text);
    heading->setContentsMargins(0, 6, 0, 0);
    grid->addWidget(heading, grid->rowCount(), 0, 1, 3);
}

void WhatIfForm::addVideoLines(QGridLayout* grid)
{
    using L = WhatIfLink;
    addLine(grid, tr("Bit rate"), tr("Of the video, Mbit/s"), {0.5, 200.0, 1, tr("Mbit/s"), {}},
        {QStringLiteral("bit-rate"), {}, [](const L& l) { return l.model.bitRateMbit; },
            [](L& l, double v) { l.model.bitRateMbit = v; }});
    addLine(grid, tr("Frame rate"), tr("Pictures a second that the link sends"),
        {10.0, 240.0, 2, tr("Hz"), {}},
        {QStringLiteral("frame-rate"), {}, [](const L& l) { return l.model.frameRateHz; },
            [](L& l, double v) { l.model.frameRateHz = v; }});
    addLine(grid, tr("Picture width"), tr("Of the picture that the link sends, px"),
        {64.0, 4096.0, 0, tr("px"), {}},
        {QStringLiteral("width"), {},
            [](const L& l) { return l.model.picture ? l.model.picture->widthPx : 0.0; },
            [](L& l, double v) { pictureOf(l).widthPx = v; }});
    addLine(grid, tr("Picture height"), tr("Of the picture that the link sends, px"),
        {64.0, 4096.0, 0, tr("px"), {}},
        {QStringLiteral("height"), {},
            [](const L& l) { return l.model.picture ? l.model.picture->heightPx : 0.0; },
            [](L& l, double v) { pictureOf(l).heightPx = v; }});
}

void WhatIfForm::addAirLines(QGridLayout* grid)
{
    using L = WhatIfLink;
    addLine(grid, tr("Channel width"),
        tr("MHz; packets go over the air at this times the efficiency below"),
        {1.0, 160.0, 0, tr("MHz"), {}},
        {QStringLiteral("channel-width"), {},
            [](const L& l) { return l.model.channelWidthMhz.value_or(0.0); },
            [](L& l, double v) { l.model.channelWidthMhz = v; }});
    addLine(grid, tr("Efficiency"), tr("Bit/s that go over each Hz of the channel"),
        {0.1, 10.0, 2, tr("bit/s/Hz"), {}},
        {QStringLiteral("efficiency"), {}, [](const L& l) { return l.model.efficiencyBitPerHz; },
            [](L& l, double v) { l.model.efficiencyBitPerHz = v; }});
    addLine(grid, tr("Packet"), tr("Size of a packet, byte"), {64.0, 9000.0, 0, tr("byte"), {}},
        {QStringLiteral("packet"), {}, [](const L& l) { return l.model.packetBytes; },
            [](L& l, double v) { l.model.packetBytes = v; }});
    addLine(grid, tr("Loss"), tr("Share of packets lost at each try, %"),
        {0.0, 90.0, 2, tr("%"), tr("0 %")},
        {QStringLiteral("loss"), {}, [](const L& l) { return 100.0 * l.model.loss; },
            [](L& l, double v) { l.model.loss = v / 100.0; }});
    addLine(grid, tr("Bursts"),
        tr("How many times longer bursts of lost packets are than independent losses make them; "
           "the simulation alone heeds it"),
        {1.0, 20.0, 1, tr("times"), tr("independent")},
        {QStringLiteral("bursts"), {}, [](const L& l) { return l.burstFactor; },
            [](L& l, double v) { l.burstFactor = v; }});
}

void WhatIfForm::addTimeLines(QGridLayout* grid)
{
    using L = WhatIfLink;
    addLine(grid, tr("Round trip"),
        tr("From a packet's loss to its repeated arrival, ms; none: nothing is repeated"),
        {0.0, 50.0, 2, tr("ms"), tr("no repeats")},
        {QStringLiteral("round-trip"), {},
            [](const L& l) { return l.model.roundTripMs.value_or(0.0); },
            [](L& l, double v) { l.model.roundTripMs = told(v); }});
    addLine(grid, tr("Allowance"),
        tr("Time that repeats of one frame may take, ms; left open: the slack of the interval"),
        {0.0, 100.0, 2, tr("ms"), tr("the slack")},
        {QStringLiteral("allowance"), {},
            [](const L& l) { return l.model.allowanceMs.value_or(0.0); },
            [](L& l, double v) { l.model.allowanceMs = told(v); }});
    addLine(grid, tr("Fixed part"),
        tr("Exposure, encoding, decoding, scan: whatever does not vary, ms"),
        {0.0, 200.0, 1, tr("ms"), tr("0 ms")},
        {QStringLiteral("fixed"), {}, [](const L& l) { return l.parts.fixedMs; },
            [](L& l, double v) { l.parts.fixedMs = v; }});
    addLine(grid, tr("Panel rate"), tr("Redraws a second; none: a frame shows on arrival"),
        {0.0, 480.0, 2, tr("Hz"), tr("on arrival")},
        {QStringLiteral("panel-rate"), {},
            [](const L& l) { return l.parts.panelRateHz.value_or(0.0); },
            [](L& l, double v) { l.parts.panelRateHz = told(v); }});
}

void WhatIfForm::addRadioLines(QGridLayout* grid)
{
    using L = WhatIfLink;
    addLine(grid, tr("Output power"),
        tr("mW; the loss then comes from the free path and takes the place of the one above. "
           "Follow the radio rules of the place."),
        {0.0, 2000.0, 0, tr("mW"), tr("loss as above")},
        {QStringLiteral("power"), {}, [](const L& l) { return l.powerMw.value_or(0.0); },
            [](L& l, double v) { l.powerMw = told(v); }});
    addLine(grid, tr("Distance"), tr("Free path to the goggle, km"), {0.001, 20.0, 3, tr("km"), {}},
        {QStringLiteral("distance"), {}, [](const L& l) { return l.radio.path.distanceKm; },
            [](L& l, double v) { l.radio.path.distanceKm = v; }});
    addLine(grid, tr("Frequency"), tr("Centre of the channel, MHz"),
        {100.0, 10000.0, 0, tr("MHz"), {}},
        {QStringLiteral("frequency"), {}, [](const L& l) { return l.radio.path.frequencyMhz; },
            [](L& l, double v) { l.radio.path.frequencyMhz = v; }});
    addLine(grid, tr("Needed signal"),
        tr("Signal over noise at which half of the packets are lost, dB: the middle of the loss "
           "curve, which is a shape for what-if questions and no radio's"),
        {0.0, 40.0, 1, tr("dB"), tr("0 dB"), true},
        {QStringLiteral("needed-snr"), {}, [](const L& l) { return l.radio.neededSnrDb; },
            [](L& l, double v) { l.radio.neededSnrDb = v; }});
}

void WhatIfForm::addPresets(QGridLayout* grid)
{
    auto* holder = new QWidget;
    auto* row = new FlowLayout(holder, 6);
    const auto add = [&](const QString& text, const QString& toolTip, auto change) {
        auto* button = new QPushButton(text);
        button->setToolTip(toolTip);
        connect(button, &QPushButton::clicked, this, [this, change] {
            WhatIfLink one = linkAt(0);
            WhatIfLink other = one;
            change(one, other);
            setLink(0, one);
            setLink(1, other);
            Q_EMIT changed();
        });
        row->addWidget(button);
    };
    constexpr double rootHalf = 0.70710678;
    add(tr("Half the pixels"),
        tr("Link 2 becomes link 1 with half the pixels at the same bit rate"),
        [](const WhatIfLink& /*one*/, WhatIfLink& other) {
            link::PictureSize& picture = pictureOf(other);
            picture = {picture.widthPx * rootHalf, picture.heightPx * rootHalf};
        });
    add(tr("Twice the width"), tr("Link 2 becomes link 1 in a channel twice as wide"),
        [](const WhatIfLink& one, WhatIfLink& other) {
            other.model.channelWidthMhz = 2.0 * one.model.channelWidthMhz.value_or(20.0);
        });
    add(tr("Ten times the power"),
        tr("Link 2 becomes link 1 with ten times the output power, loss from the free path. Follow "
           "the radio rules of the place."),
        [](WhatIfLink& one, WhatIfLink& other) {
            constexpr double usualMw = 20.0;
            one.powerMw = one.powerMw.value_or(usualMw);
            other.powerMw = 10.0 * *one.powerMw;
        });
    const int line = grid->rowCount();
    grid->addWidget(quietLabel(tr("Link 2 = link 1 with")), line, 0);
    grid->addWidget(holder, line, 1, 1, 2);
}

WhatIfLink WhatIfForm::linkAt(std::size_t at) const
{
    WhatIfLink link;
    for (const Line& line : m_lines) {
        line.set(link, line.fields.at(at)->value());
    }
    return link;
}

std::array<WhatIfLink, 2> WhatIfForm::links() const { return {linkAt(0), linkAt(1)}; }

void WhatIfForm::setLink(std::size_t at, const WhatIfLink& link)
{
    m_filling = true;
    for (const Line& line : m_lines) {
        line.fields.at(at)->setValue(line.get(link));
    }
    m_filling = false;
}

void WhatIfForm::takeConditions(std::size_t at, const session::Conditions& conditions)
{
    WhatIfLink link = linkAt(at);
    link.model.bitRateMbit = conditions.bitRateMbit.value_or(link.model.bitRateMbit);
    if (conditions.linkFrameRate) {
        link.model.frameRateHz = conditions.linkFrameRate->hz();
    }
    if (conditions.widthPx && conditions.heightPx) {
        link.model.picture = link::PictureSize {
            static_cast<double>(*conditions.widthPx), static_cast<double>(*conditions.heightPx)};
    }
    if (conditions.channelWidthMhz) {
        link.model.channelWidthMhz = conditions.channelWidthMhz;
    }
    if (conditions.panelRateHz) {
        link.parts.panelRateHz = conditions.panelRateHz;
    }
    setLink(at, link);
    Q_EMIT changed();
}

void WhatIfForm::enableLoss()
{
    const auto lineOf = [this](QLatin1String key) {
        return std::ranges::find_if(m_lines, [key](const Line& line) { return line.key == key; });
    };
    const auto loss = lineOf(QLatin1String("loss"));
    const auto power = lineOf(QLatin1String("power"));
    if (loss == m_lines.end() || power == m_lines.end()) {
        return;
    }
    for (std::size_t i = 0; i < 2; ++i) {
        const bool isGiven = power->fields.at(i)->value() <= 0.0;
        loss->fields.at(i)->setEnabled(isGiven);
        for (const char* key : {"distance", "frequency", "needed-snr"}) {
            if (const auto line = lineOf(QLatin1String(key)); line != m_lines.end()) {
                line->fields.at(i)->setEnabled(!isGiven);
            }
        }
    }
}

void WhatIfForm::keep() const
{
    QSettings kept;
    for (const Line& line : m_lines) {
        for (std::size_t i = 0; i < line.fields.size(); ++i) {
            kept.setValue(QStringLiteral("reckon/link%1/%2").arg(i + 1).arg(line.key),
                line.fields.at(i)->value());
        }
    }
}

void WhatIfForm::restore()
{
    m_filling = true;
    const QSettings kept;
    for (const Line& line : m_lines) {
        for (std::size_t i = 0; i < line.fields.size(); ++i) {
            const QVariant value
                = kept.value(QStringLiteral("reckon/link%1/%2").arg(i + 1).arg(line.key));
            if (value.isValid()) {
                line.fields.at(i)->setValue(value.toDouble());
            }
        }
    }
    m_filling = false;
}

} // namespace twinlamp::ui
