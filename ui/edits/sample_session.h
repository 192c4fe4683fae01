// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"

#include <QObject>

#include <filesystem>

namespace twinlamp::ui {

/// The sample session: an invented campaign on simulated footage, in the user's data folder.
class SampleSession : public QObject
{
    Q_OBJECT

public:
    explicit SampleSession(QObject* parent = nullptr);

    /// Where the sample session lies or will lie.
    [[nodiscard]] std::filesystem::path file() const;
    /// Whether it can be opened: it exists, or its clips do.
    [[nodiscard]] bool isThere() const;
    /// Makes the session of the sample clips where it does not exist yet; the window then measures
    /// them like any other clips.
    [[nodiscard]] Result<void> make() const;

private:
    std::filesystem::path m_folder;
};

} // namespace twinlamp::ui
