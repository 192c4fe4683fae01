// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/session.h"
#include "ui/models/press_plans.h"

#include <QWidget>

#include <array>

class QComboBox;
class QDoubleSpinBox;
class QHBoxLayout;
class QLabel;
class QSpinBox;
class QVBoxLayout;

namespace twinlamp::ui {

class SentenceList;

/// How many presses four claims need, answered while values are typed; the spread is typed or that
/// of a setting of the session. Values survive a restart.
class PlanPanel : public QWidget
{
    Q_OBJECT

public:
    explicit PlanPanel(QWidget* parent = nullptr);

    /// Offers the settings of a session as sources of the spread.
    void setSession(const session::Session& session);

    [[nodiscard]] PlanQuestions questions() const;
    /// Answer of late share, limits, width, difference.
    [[nodiscard]] QString answer(std::size_t plan) const;
    void keep() const;

private:
    void build(QVBoxLayout* column);
    void buildSource(QVBoxLayout* column);
    void addClaim(QVBoxLayout* column, std::size_t plan, const QString& heading,
        const std::vector<QWidget*>& words);
    QDoubleSpinBox* addNumber(const QString& key, double value, double least, double most,
        const QString& unit, const QString& toolTip);
    void restore();
    void takeSource();
    void reckon();

    struct Source
    {
        QString name;
        double sdMs = 0.0;
        PressesMade made;
    };

    struct Kept
    {
        QString key;
        QDoubleSpinBox* field = nullptr;
    };

    std::vector<Source> m_sources;
    std::vector<Kept> m_numbers;
    QString m_wantedSource; ///< by name, of the last time
    QComboBox* m_source = nullptr;
    QDoubleSpinBox* m_sd = nullptr;
    QDoubleSpinBox* m_confidence = nullptr;
    QDoubleSpinBox* m_lateShare = nullptr;
    QDoubleSpinBox* m_lateSeen = nullptr;
    QDoubleSpinBox* m_coverage = nullptr;
    QComboBox* m_sides = nullptr;
    QDoubleSpinBox* m_halfWidth = nullptr;
    QComboBox* m_centre = nullptr;
    QDoubleSpinBox* m_difference = nullptr;
    QDoubleSpinBox* m_power = nullptr;
    std::array<QLabel*, planCount> m_answers {};
    std::array<QLabel*, planCount> m_beside {};
    SentenceList* m_assumptions = nullptr;
    bool m_filling = false;
};

} // namespace twinlamp::ui
