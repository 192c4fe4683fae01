// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/region_numbers.h"

#include "ui/footage/region_geometry.h"
#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"

#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QRegularExpression>
#include <QToolButton>

namespace twinlamp::ui {

QString rectText(const RectPx& rect)
{
    return QStringLiteral("%1, %2, %3, %4")
        .arg(rect.x)
        .arg(rect.y)
        .arg(rect.width)
        .arg(rect.height);
}

std::optional<RectPx> typedRect(const QString& text)
{
    static const QRegularExpression gaps(QStringLiteral(R"([\s,;x×]+)"));
    const QStringList numbers = text.split(gaps, Qt::SkipEmptyParts);
    return parseRect(numbers.join(QLatin1Char(',')).toStdString());
}

RegionNumbers::RegionNumbers(QWidget* parent)
    : QWidget(parent)
{
    auto* grid = new QGridLayout(this);
    grid->setContentsMargins(0, 0, 0, 0);
    grid->setHorizontalSpacing(4);
    grid->setVerticalSpacing(4);
    grid->addWidget(headingLabel(tr("Regions")), 0, 0, 1, 1);
    auto* unit = quietLabel(tr("x, y, width, height"));
    unit->setWordWrap(false);
    grid->addWidget(unit, 0, 1);
    for (const RegionKind kind : regionKinds) {
        Row& row = rowOf(kind);
        const int line = static_cast<int>(kind) + 1;
        row.pick = new QToolButton;
        row.pick->setIcon(themeIcon(regionIcon(kind), regionColour(kind)));
        row.pick->setText(regionName(kind));
        row.pick->setToolButtonStyle(Qt::ToolButtonTextBesideIcon);
        row.pick->setIconSize({12, 12});
        row.pick->setFont(typeFont(TypeSize::Small));
        row.pick->setToolTip(tr("Pick this region in the picture (%1)").arg(line));
        connect(row.pick, &QToolButton::clicked, this, [this, kind] { Q_EMIT regionPicked(kind); });
        row.edit = new QLineEdit;
        row.edit->setMinimumWidth(40);
        row.edit->setAccessibleName(tr("%1: x, y, width, height").arg(regionName(kind)));
        row.edit->setToolTip(tr("Pixels of the upright picture"));
        connect(row.edit, &QLineEdit::editingFinished, this, [this, kind] { onTyped(kind); });
        connect(
            row.edit, &QLineEdit::textEdited, this, [edit = row.edit] { markWrong(edit, false); });
        grid->addWidget(row.pick, line, 0, Qt::AlignLeft);
        grid->addWidget(row.edit, line, 1);
    }
    grid->setColumnStretch(1, 1);
    setRegions(std::nullopt, {});
}

RegionNumbers::Row& RegionNumbers::rowOf(RegionKind kind)
{
    return m_rows.at(static_cast<std::size_t>(kind));
}

void RegionNumbers::setRegions(const std::optional<RegionSet>& regions, QSize picture)
{
    m_regions = regions;
    m_picture = picture;
    for (const RegionKind kind : regionKinds) {
        Row& row = rowOf(kind);
        const auto rect = regions ? regionOf(*regions, kind) : std::nullopt;
        const bool mayBeAdded = kind == RegionKind::Panel && regions.has_value();
        row.pick->setEnabled(rect.has_value());
        row.edit->setEnabled(m_editable && (rect || mayBeAdded));
        row.edit->setPlaceholderText(mayBeAdded ? tr("none") : QString());
        if (!row.edit->hasFocus() || !row.edit->isModified()) {
            row.edit->setText(rect ? rectText(*rect) : QString());
            row.edit->setModified(false);
            markWrong(row.edit, false);
        }
    }
}

void RegionNumbers::showPulled(RegionKind kind, const RectPx& rect)
{
    rowOf(kind).edit->setText(rectText(rect));
    rowOf(kind).edit->setModified(false);
}

void RegionNumbers::setEditable(bool editable)
{
    m_editable = editable;
    setRegions(m_regions, m_picture);
}

void RegionNumbers::onTyped(RegionKind kind)
{
    QLineEdit* edit = rowOf(kind).edit;
    if (!edit->isModified()) {
        return;
    }
    const auto rect = typedRect(edit->text());
    if (rect && !m_picture.isEmpty() && fitted(*rect, m_picture) == *rect) {
        markWrong(edit, false);
        edit->setModified(false);
        Q_EMIT regionTyped(kind, *rect);
        return;
    }
    markWrong(edit,
        tr("Four whole numbers, for example 412, 233, 40, 40, inside the picture of %1 x %2 pixels")
            .arg(m_picture.width())
            .arg(m_picture.height()));
}

} // namespace twinlamp::ui
