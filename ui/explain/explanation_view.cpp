// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/explanation_view.h"

#include "ui/explain/explanation_painter.h"
#include "ui/theme/theme.h"

#include <QPainter>

#include <cmath>

namespace twinlamp::ui {

namespace {

ExplanationInk inkOfWindow() { return {colours(), typeFont(TypeSize::Base)}; }

} // namespace

ExplanationView::ExplanationView(QWidget* parent)
    : QWidget(parent)
{
    QSizePolicy policy(QSizePolicy::Expanding, QSizePolicy::Fixed);
    policy.setHeightForWidth(true);
    setSizePolicy(policy);
    setFocusPolicy(Qt::NoFocus); // the scroll area around it takes the keys
}

void ExplanationView::setExplanation(std::optional<report::PressExplanation> explanation)
{
    m_explanation = std::move(explanation);
    setAccessibleName(m_explanation ? textOf(m_explanation->title) : m_hint);
    relayout();
}

void ExplanationView::setPictures(ExplanationPictures pictures)
{
    m_pictures = std::move(pictures);
    update();
}

void ExplanationView::setHint(const QString& hint)
{
    m_hint = hint;
    update();
}

int ExplanationView::heightForWidth(int width) const
{
    if (!m_explanation) {
        return 120;
    }
    const ExplanationInk ink = inkOfWindow();
    return static_cast<int>(
        std::ceil(ExplanationPainter(*m_explanation, m_pictures, ink).heightFor(width)));
}

QSize ExplanationView::sizeHint() const
{
    constexpr int usualWidth = 1100;
    return {usualWidth, heightForWidth(usualWidth)};
}

QSize ExplanationView::minimumSizeHint() const
{
    return {static_cast<int>(ExplanationPainter::leastWidth), 100};
}

void ExplanationView::relayout()
{
    setFixedHeight(heightForWidth(std::max(width(), minimumSizeHint().width())));
    updateGeometry();
    update();
}

void ExplanationView::resizeEvent(QResizeEvent* event)
{
    QWidget::resizeEvent(event);
    if (height() != heightForWidth(width())) {
        relayout();
    }
}

void ExplanationView::paintEvent(QPaintEvent* /*event*/)
{
    QPainter painter(this);
    const ExplanationInk ink = inkOfWindow();
    if (!m_explanation) {
        painter.fillRect(rect(), ink.colours[ColourRole::Ground]);
        painter.setPen(ink.colours[ColourRole::QuietText]);
        painter.drawText(rect(), Qt::AlignCenter | Qt::TextWordWrap, m_hint);
        return;
    }
    ExplanationPainter(*m_explanation, m_pictures, ink).paint(painter, rect());
}

} // namespace twinlamp::ui
