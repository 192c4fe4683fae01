// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/theme/colours.h"

#include <QObject>

class QDBusVariant;
class QPalette;

namespace twinlamp::ui {

/// Whether the desktop wants light or dark: the settings portal's color-scheme where there is one
/// (Qt 6.4 has no call for it), else how dark the desktop's own palette is.
class SchemeWatcher : public QObject
{
    Q_OBJECT

public:
    explicit SchemeWatcher(const QPalette& desktopPalette, QObject* parent = nullptr);

    [[nodiscard]] Scheme desktopScheme() const { return m_scheme; }

    /// The portal's value as a scheme: 1 prefers dark, 2 prefers light, all else has no preference.
    [[nodiscard]] static std::optional<Scheme> fromPortal(uint value);

Q_SIGNALS:
    void changed();

private Q_SLOTS:
    void onSettingChanged(const QString& group, const QString& key, const QDBusVariant& value);

private:
    void take(const QVariant& value);

    Scheme m_fallback;
    Scheme m_scheme;
};

} // namespace twinlamp::ui
