// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/what_if_field.h"

#include <QDoubleSpinBox>
#include <QHBoxLayout>
#include <QSignalBlocker>
#include <QSlider>

#include <algorithm>
#include <cmath>

namespace twinlamp::ui {

namespace {

constexpr int places = 200; ///< of the slider
constexpr int numberWidth = 108;
constexpr int sliderWidth = 56;

} // namespace

WhatIfField::WhatIfField(const WhatIfRange& range, QWidget* parent)
    : QWidget(parent)
    , m_range(range)
    , m_number(new QDoubleSpinBox)
    , m_slider(new QSlider(Qt::Horizontal))
{
    m_number->setRange(range.least, range.most);
    m_number->setDecimals(range.decimals);
    m_number->setSuffix(range.unit.isEmpty() ? QString() : QLatin1Char(' ') % range.unit);
    m_number->setSpecialValueText(range.leastMeans);
    m_number->setButtonSymbols(QAbstractSpinBox::NoButtons);
    m_number->setStepType(QAbstractSpinBox::AdaptiveDecimalStepType);
    m_number->setKeyboardTracking(false);
    m_number->setFixedWidth(numberWidth);
    m_slider->setRange(0, places);
    m_slider->setMinimumWidth(sliderWidth);
    auto* row = new QHBoxLayout(this);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(6);
    row->addWidget(m_number);
    row->addWidget(m_slider, 1);
    setFocusProxy(m_number);
    m_slider->setValue(sliderFor(m_number->value()));
    connect(m_number, &QDoubleSpinBox::valueChanged, this, [this](double value) {
        const QSignalBlocker still(m_slider);
        m_slider->setValue(sliderFor(value));
        Q_EMIT changed();
    });
    connect(m_slider, &QSlider::valueChanged, this, [this](int place) {
        const QSignalBlocker still(m_number);
        m_number->setValue(atSlider(place));
        Q_EMIT changed();
    });
}

double WhatIfField::value() const { return m_number->value(); }

void WhatIfField::setValue(double value) { m_number->setValue(value); }

void WhatIfField::describe(const QString& name, const QString& toolTip)
{
    m_number->setAccessibleName(name);
    m_slider->setAccessibleName(name);
    setToolTip(toolTip);
}

// Ratios begin at a thousandth of the range where it begins at 0.
double WhatIfField::atSlider(int place) const
{
    const double share = static_cast<double>(place) / places;
    if (m_range.even || place == 0) {
        return m_range.least + share * (m_range.most - m_range.least);
    }
    constexpr double thousandth = 1e-3;
    const double from = m_range.least > 0.0 ? m_range.least : thousandth * m_range.most;
    return from * std::pow(m_range.most / from, share);
}

int WhatIfField::sliderFor(double value) const
{
    if (m_range.even) {
        return static_cast<int>(
            std::lround(places * (value - m_range.least) / (m_range.most - m_range.least)));
    }
    constexpr double thousandth = 1e-3;
    const double from = m_range.least > 0.0 ? m_range.least : thousandth * m_range.most;
    if (value <= from) {
        return value <= m_range.least ? 0 : 1;
    }
    return static_cast<int>(
        std::lround(places * std::log(value / from) / std::log(m_range.most / from)));
}

} // namespace twinlamp::ui
