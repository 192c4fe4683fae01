// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/theme/scheme_watcher.h"

#include <QDBusConnection>
#include <QDBusMessage>
#include <QDBusPendingCallWatcher>
#include <QDBusPendingReply>
#include <QDBusVariant>
#include <QPalette>

namespace twinlamp::ui {

namespace {

// Names of the settings portal, an open desktop interface.
const QString service = QStringLiteral("org.freedesktop.portal.Desktop");
const QString path = QStringLiteral("/org/freedesktop/portal/desktop");
const QString interfaceName = QStringLiteral("org.freedesktop.portal.Settings");
const QString appearance = QStringLiteral("org.freedesktop.appearance");
const QString colourScheme = QStringLiteral("color-scheme");
constexpr int answerWithinMs = 1000;

} // namespace

SchemeWatcher::SchemeWatcher(const QPalette& desktopPalette, QObject* parent)
    : QObject(parent)
    , m_fallback(desktopPalette.color(QPalette::Window).lightness()
                  < desktopPalette.color(QPalette::WindowText).lightness()
              ? Scheme::Dark
              : Scheme::Light)
    , m_scheme(m_fallback)
{
    QDBusConnection bus = QDBusConnection::sessionBus();
    if (!bus.isConnected()) {
        return;
    }
    bus.connect(service, path, interfaceName, QStringLiteral("SettingChanged"), this,
        SLOT(onSettingChanged(QString, QString, QDBusVariant)));
    QDBusMessage read
        = QDBusMessage::createMethodCall(service, path, interfaceName, QStringLiteral("Read"));
    read << appearance << colourScheme;
    auto* answer = new QDBusPendingCallWatcher(bus.asyncCall(read, answerWithinMs), this);
    connect(answer, &QDBusPendingCallWatcher::finished, this, [this, answer] {
        const QDBusPendingReply<QDBusVariant> reply = *answer;
        answer->deleteLater();
        if (!reply.isError()) {
            take(reply.value().variant());
        }
    });
}

std::optional<Scheme> SchemeWatcher::fromPortal(uint value)
{
    switch (value) {
    case 1:
        return Scheme::Dark;
    case 2:
        return Scheme::Light;
    default:
        return std::nullopt;
    }
}

void SchemeWatcher::onSettingChanged(
    const QString& group, const QString& key, const QDBusVariant& value)
{
    if (group == appearance && key == colourScheme) {
        take(value.variant());
    }
}

void SchemeWatcher::take(const QVariant& value)
{
    // The old Read call wraps its answer in a second variant.
    const QVariant inner = value.canConvert<QDBusVariant>() && value.userType() != QMetaType::UInt
        ? value.value<QDBusVariant>().variant()
        : value;
    const Scheme wanted = fromPortal(inner.toUInt()).value_or(m_fallback);
    if (wanted != m_scheme) {
        m_scheme = wanted;
        Q_EMIT changed();
    }
}

} // namespace twinlamp::ui
