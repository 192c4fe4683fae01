// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"
#include "core/report/press_explanation.h"
#include "core/session/effective.h"
#include "ui/jobs/frame_fetcher.h"

#include <QDialog>

#include <filesystem>
#include <memory>
#include <optional>

class QLabel;
class QPushButton;

namespace twinlamp::ui {

class ExplanationView;

/// What the dialog explains: a press, and the clip that it was measured in.
struct ExplainSubject
{
    ClipFacts clip;
    RegionSet regions;
    std::shared_ptr<const ClipTraces> traces; ///< null: not kept
    session::EffectivePress press;
    std::shared_ptr<const footage::ClipIndex> index; ///< null: the footage is not open
    QString problem; ///< why it is not; empty while it is opened
};

/// The explanation of the press in hand, in a window of its own beside the page: it follows the
/// press, and gives the drawing away as a file or a picture.
class ExplainDialog : public QDialog
{
    Q_OBJECT

public:
    explicit ExplainDialog(QWidget* parent = nullptr);
    ~ExplainDialog() override;

    /// Nothing: no press is in hand, or its clip is not measured.
    void setSubject(const std::optional<ExplainSubject>& subject);

    [[nodiscard]] ExplanationView& view() { return *m_view; }

    /// Writes a PNG or an SVG file, by its ending.
    /// @error Report/InvalidValue another ending; Report/WriteFailed
    [[nodiscard]] Result<void> saveTo(const std::filesystem::path& file) const;
    void copyPicture();

Q_SIGNALS:
    void stepAsked(bool forward);

private:
    void build();
    QPushButton* addButton(const QString& text, const QKeySequence& key, const QString& help);
    void wishPictures();
    void takePicture(const CropWish& wish, const QImage& picture);
    void chooseFile(bool svg);
    void tell(const QString& text);

    FrameFetcher m_fetcher;
    ExplanationView* m_view = nullptr;
    QLabel* m_told = nullptr;
    std::vector<QPushButton*> m_needPress;
    std::shared_ptr<const footage::ClipIndex> m_index;
    QString m_fileStem; ///< proposed for a file
};

} // namespace twinlamp::ui
