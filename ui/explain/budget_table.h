// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/report/press_explanation.h"
#include "ui/explain/explanation_ink.h"

#include <QRectF>

#include <optional>

class QPainter;

namespace twinlamp::ui {

/// The uncertainty of one latency as a small table: parts by falling share, then their sum.
class BudgetTable
{
public:
    BudgetTable(const std::optional<report::Budget>& budget, const ExplanationInk& ink)
        : m_budget(budget)
        , m_ink(ink)
    {
    }

    [[nodiscard]] double heightFor(double width) const;
    void paint(QPainter& painter, QRectF area) const;

private:
    void paintHead(QPainter& painter, QRectF row) const;
    void paintRow(QPainter& painter, QRectF row, const report::BudgetRow& part) const;
    void paintSum(QPainter& painter, QRectF place) const;
    [[nodiscard]] double line() const;
    [[nodiscard]] QString sumText() const;

    const std::optional<report::Budget>& m_budget;
    const ExplanationInk& m_ink;
};

} // namespace twinlamp::ui
