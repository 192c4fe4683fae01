// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/region_numbers.h"

#include "ui/footage/corner_geometry.h"
#include "ui/footage/region_geometry.h"
#include "ui/theme/theme.h"
#include "ui/widgets/marking.h"

#include <QGridLayout>
#include <QLabel>
#include <QLineEdit>
#include <QRegularExpression>
#include <QToolButton>

namespace twinlamp::ui {

namespace {

std::string withCommas(const QString& text)
{
    static const QRegularExpression gaps(QStringLiteral(R"([\s,;x×]+)"));
    return text.split(gaps, Qt::SkipEmptyParts).join(QLatin1Char(',')).toStdString();
}

} // namespace

QString rectText(const RectPx& rect)
{
    return QStringLiteral("%1, %2, %3, %4")
        .arg(rect.x)
        .arg(rect.y)
        .arg(rect.width)
        .arg(rect.height);
}

std::optional<RectPx> typedRect(const QString& text) { return parseRect(withCommas(text)); }

QString cornersText(const QuadPx& corners)
{
    QStringList places;
    for (const CornerPx corner : corners.corners) {
        places << QStringLiteral("%1,%2").arg(corner.x).arg(corner.y);
    }
    return places.join(QLatin1Char(' '));
}

std::optional<QuadPx> typedCorners(const QString& text) { return parseQuad(withCommas(text)); }

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
        if (kind == RegionKind::Panel) {
            row.edit->setAccessibleName(
                tr("%1: x, y, width, height, or x and y of four corners").arg(regionName(kind)));
            row.edit->setToolTip(
                tr("Pixels of the upright picture. A panel seen turned or at an angle: x and y of "
                   "its top left, top right, bottom right and bottom left corner, eight numbers"));
        }
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
    placePanelEdit();
    for (const RegionKind kind : regionKinds) {
        Row& row = rowOf(kind);
        const auto rect = regions ? regionOf(*regions, kind) : std::nullopt;
        const bool mayBeAdded = kind == RegionKind::Panel && regions.has_value();
        row.pick->setEnabled(rect.has_value());
        row.edit->setEnabled(m_editable && (rect || mayBeAdded));
        row.edit->setPlaceholderText(mayBeAdded ? tr("none") : QString());
        if (!row.edit->hasFocus() || !row.edit->isModified()) {
            row.edit->setText(textOf(kind));
            row.edit->setCursorPosition(0);
            row.edit->setModified(false);
            markWrong(row.edit, false);
        }
    }
}

// Eight numbers need the whole width.
void RegionNumbers::placePanelEdit()
{
    QLineEdit* edit = rowOf(RegionKind::Panel).edit;
    auto* grid = qobject_cast<QGridLayout*>(layout());
    const bool wide = m_regions && m_regions->panelCorners;
    const int line = static_cast<int>(RegionKind::Panel) + 1;
    if (wide != (grid->itemAtPosition(line + 1, 0) != nullptr)) {
        grid->removeWidget(edit);
        grid->addWidget(edit, wide ? line + 1 : line, wide ? 0 : 1, 1, wide ? 2 : 1);
        edit->setFont(typeFont(wide ? TypeSize::Small : TypeSize::Base));
    }
}

QString RegionNumbers::textOf(RegionKind kind) const
{
    if (m_regions && kind == RegionKind::Panel && m_regions->panelCorners) {
        return cornersText(*m_regions->panelCorners);
    }
    const auto rect = m_regions ? regionOf(*m_regions, kind) : std::nullopt;
    return rect ? rectText(*rect) : QString();
}

void RegionNumbers::showPulledCorners(const QuadPx& corners)
{
    QLineEdit* edit = rowOf(RegionKind::Panel).edit;
    edit->setText(cornersText(corners));
    edit->setCursorPosition(0);
    edit->setModified(false);
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
    if (const auto corners = typedCorners(edit->text()); corners && kind == RegionKind::Panel) {
        onPanelTyped(*corners);
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

void RegionNumbers::onPanelTyped(const QuadPx& corners)
{
    QLineEdit* edit = rowOf(RegionKind::Panel).edit;
    if (!m_picture.isEmpty() && fits(corners, m_picture)) {
        markWrong(edit, false);
        edit->setModified(false);
        Q_EMIT cornersTyped(corners);
        return;
    }
    markWrong(edit,
        tr("x and y of the panel's own top left, top right, bottom right and bottom left corner, "
           "in this order, inside the picture of %1 x %2 pixels")
            .arg(m_picture.width())
            .arg(m_picture.height()));
}

} // namespace twinlamp::ui
