// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

#include <QWidget>

#include <optional>

namespace twinlamp::ui {

/// One explanation in the window's colours, as high as it needs to be.
class ExplanationView : public QWidget
{
    Q_OBJECT

public:
    explicit ExplanationView(QWidget* parent = nullptr);

    void setExplanation(std::optional<report::PressExplanation> explanation);
    void setPictures(ExplanationPictures pictures);
    /// Said where there is nothing to explain.
    void setHint(const QString& hint);

    [[nodiscard]] const std::optional<report::PressExplanation>& explanation() const
    {
        return m_explanation;
    }

    [[nodiscard]] const ExplanationPictures& pictures() const { return m_pictures; }

    [[nodiscard]] bool hasHeightForWidth() const override { return true; }

    [[nodiscard]] int heightForWidth(int width) const override;
    [[nodiscard]] QSize sizeHint() const override;
    [[nodiscard]] QSize minimumSizeHint() const override;

protected:
    void paintEvent(QPaintEvent* event) override;
    void resizeEvent(QResizeEvent* event) override;

private:
    void relayout();

    std::optional<report::PressExplanation> m_explanation;
    ExplanationPictures m_pictures;
    QString m_hint;
};

} // namespace twinlamp::ui
