// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/theme/svg_icon.h"

#include "ui/theme/theme.h"

#include <QFile>
#include <QPainter>
#include <QPixmap>
#include <QSvgRenderer>

namespace twinlamp::ui {

SvgIconEngine::SvgIconEngine(QString path, std::optional<ColourRole> role)
    : m_path(std::move(path))
    , m_role(role)
{
}

void SvgIconEngine::paint(
    QPainter* painter, const QRect& rect, QIcon::Mode mode, QIcon::State /*state*/)
{
    QFile file(m_path);
    if (!file.open(QIODevice::ReadOnly)) {
        return;
    }
    const QColor colour = mode == QIcon::Disabled ? colours()[ColourRole::DisabledText]
                                                  : colours()[m_role.value_or(ColourRole::Text)];
    QByteArray svg = file.readAll();
    svg.replace("#000", colour.name().toLatin1());
    QSvgRenderer(svg).render(painter, rect);
}

QPixmap SvgIconEngine::pixmap(const QSize& size, QIcon::Mode mode, QIcon::State state)
{
    QPixmap pixmap(size);
    pixmap.fill(Qt::transparent);
    QPainter painter(&pixmap);
    paint(&painter, QRect(QPoint(0, 0), size), mode, state);
    return pixmap;
}

QIconEngine* SvgIconEngine::clone() const { return new SvgIconEngine(*this); }

} // namespace twinlamp::ui
