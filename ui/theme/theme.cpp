// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/theme/theme.h"

#include "ui/theme/scheme_watcher.h"
#include "ui/theme/svg_icon.h"

#include <QApplication>
#include <QFile>
#include <QPalette>
#include <QSettings>
#include <QStyleFactory>

#include <spdlog/spdlog.h>

namespace twinlamp::ui {

namespace {

constexpr double smallSize = 0.85;
constexpr double figureSize = 1.6;

struct Current
{
    Colours colours;
    Colours footage;
    Scheme scheme = Scheme::Light;
};

Current& current()
{
    static Current value;
    return value;
}

QByteArray resource(const QString& path)
{
    QFile file(path);
    return file.open(QIODevice::ReadOnly) ? file.readAll() : QByteArray();
}

std::optional<Colours> themeColours(const QString& name)
{
    const QString file = QStringLiteral(":/twinlamp/themes/%1.json").arg(name);
    auto read = Colours::fromJson(resource(file));
    if (!read) {
        spdlog::error("the theme file {} is missing or lacks a colour", file.toStdString());
    }
    return read;
}

QPalette paletteOf(const Colours& c)
{
    QPalette palette;
    palette.setColor(QPalette::Window, c[ColourRole::Ground]);
    palette.setColor(QPalette::Base, c[ColourRole::Surface]);
    palette.setColor(QPalette::AlternateBase, c[ColourRole::Raised]);
    palette.setColor(QPalette::Button, c[ColourRole::Surface]);
    palette.setColor(QPalette::Mid, c[ColourRole::Line]);
    palette.setColor(QPalette::Highlight, c[ColourRole::Selection]);
    palette.setColor(QPalette::HighlightedText, c[ColourRole::Text]);
    palette.setColor(QPalette::ToolTipBase, c[ColourRole::Text]);
    palette.setColor(QPalette::ToolTipText, c[ColourRole::Ground]);
    palette.setColor(QPalette::Link, c[ColourRole::Text]);
    for (const auto role : {QPalette::WindowText, QPalette::Text, QPalette::ButtonText}) {
        palette.setColor(role, c[ColourRole::Text]);
        palette.setColor(QPalette::Disabled, role, c[ColourRole::DisabledText]);
    }
    palette.setColor(QPalette::PlaceholderText, c[ColourRole::QuietText]);
    return palette;
}

constexpr QLatin1String choiceKey("window/scheme");

} // namespace

const Colours& colours() { return current().colours; }

const Colours& footageColours() { return current().footage; }

Scheme scheme() { return current().scheme; }

Colours schemeColours(Scheme scheme)
{
    return themeColours(scheme == Scheme::Dark ? QStringLiteral("dark") : QStringLiteral("light"))
        .value_or(Colours());
}

QFont typeFont(TypeSize size, bool strong)
{
    QFont font = QApplication::font();
    const double factor = size == TypeSize::Small ? smallSize
        : size == TypeSize::Figure                ? figureSize
                                                  : 1.0;
    if (font.pointSizeF() > 0) {
        font.setPointSizeF(font.pointSizeF() * factor);
    } else {
        font.setPixelSize(qRound(font.pixelSize() * factor));
    }
    font.setWeight(strong ? QFont::DemiBold : QFont::Normal);
    return font;
}

QIcon themeIcon(const QString& name)
{
    return QIcon(new SvgIconEngine(QStringLiteral(":/twinlamp/icons/%1.svg").arg(name)));
}

QIcon themeIcon(const QString& name, ColourRole role)
{
    return QIcon(new SvgIconEngine(QStringLiteral(":/twinlamp/icons/%1.svg").arg(name), role));
}

Theme::Theme(QApplication& application)
    : QObject(&application)
    , m_application(application)
    , m_watcher(new SchemeWatcher(application.palette(), this))
{
    application.setStyle(QStyleFactory::create(QStringLiteral("Fusion")));
    const int stored = QSettings().value(choiceKey, 0).toInt();
    m_choice = stored == 1 ? SchemeChoice::Light
        : stored == 2      ? SchemeChoice::Dark
                           : SchemeChoice::FollowDesktop;
    connect(m_watcher, &SchemeWatcher::changed, this, &Theme::apply);
    apply();
}

Theme::~Theme() = default;

void Theme::choose(SchemeChoice choice)
{
    m_choice = choice;
    QSettings().setValue(choiceKey, static_cast<int>(choice));
    apply();
}

void Theme::apply()
{
    const Scheme wanted = m_choice == SchemeChoice::Light ? Scheme::Light
        : m_choice == SchemeChoice::Dark                  ? Scheme::Dark
                                                          : m_watcher->desktopScheme();
    const auto light = themeColours(QStringLiteral("light"));
    const auto dark = themeColours(QStringLiteral("dark"));
    if (!light || !dark) {
        return;
    }
    const Colours& read = wanted == Scheme::Dark ? *dark : *light;
    current() = {read, *dark, wanted};
    m_application.setPalette(paletteOf(read));
    QString sheet = read.filledIn(
        QString::fromUtf8(resource(QStringLiteral(":/twinlamp/themes/window.qss"))));
    sheet.replace(QLatin1String("@scheme"),
        wanted == Scheme::Dark ? QLatin1String("dark") : QLatin1String("light"));
    m_application.setStyleSheet(sheet);
}

} // namespace twinlamp::ui
