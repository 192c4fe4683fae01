// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/explain/explain_dialog.h"

#include "core/base/file_writer.h"
#include "ui/explain/explanation_files.h"
#include "ui/explain/explanation_view.h"
#include "ui/theme/theme.h"

#include <QApplication>
#include <QClipboard>
#include <QFileDialog>
#include <QFileInfo>
#include <QHBoxLayout>
#include <QLabel>
#include <QPushButton>
#include <QScreen>
#include <QScrollArea>
#include <QSettings>
#include <QVBoxLayout>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr QLatin1String folderKey("explain/folder");

} // namespace

ExplainDialog::ExplainDialog(QWidget* parent)
    : QDialog(parent)
    , m_view(new ExplanationView)
    , m_told(new QLabel)
{
    setWindowTitle(tr("Explain a press"));
    setSizeGripEnabled(true);
    build();
    connect(&m_fetcher, &FrameFetcher::cropReady, this, &ExplainDialog::takePicture);
    setSubject(std::nullopt);
}

ExplainDialog::~ExplainDialog() = default;

QPushButton* ExplainDialog::addButton(
    const QString& text, const QKeySequence& key, const QString& help)
{
    auto* button = new QPushButton(text);
    button->setAutoDefault(false);
    button->setShortcut(key);
    button->setToolTip(
        help % QStringLiteral(" (") % key.toString(QKeySequence::NativeText) % QLatin1Char(')'));
    return button;
}

void ExplainDialog::build()
{
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 8);
    column->setSpacing(8);
    auto* scroll = new QScrollArea;
    scroll->setWidget(m_view);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    scroll->setFocusPolicy(Qt::StrongFocus);
    scroll->setAccessibleName(tr("What the press shows"));
    column->addWidget(scroll);
    auto* row = new QHBoxLayout;
    row->setContentsMargins(12, 0, 12, 0);
    row->setSpacing(8);
    auto* before = addButton(
        tr("Press before"), Qt::ALT | Qt::Key_PageUp, tr("Explain the press before this one"));
    auto* next = addButton(
        tr("Next press"), Qt::ALT | Qt::Key_PageDown, tr("Explain the press after this one"));
    auto* png = addButton(tr("Save as PNG…"), QKeySequence::Save,
        tr("Write the drawing as a picture, 2400 dots wide"));
    auto* svg = addButton(tr("Save as SVG…"), Qt::CTRL | Qt::SHIFT | Qt::Key_S,
        tr("Write the drawing as a vector file, for print"));
    auto* copy = addButton(tr("Copy as picture"), QKeySequence::Copy,
        tr("Put the drawing on the clipboard, in the colours of print"));
    auto* close = addButton(tr("Close"), Qt::Key_Escape, tr("Close this explanation"));
    connect(before, &QPushButton::clicked, this, [this] { Q_EMIT stepAsked(false); });
    connect(next, &QPushButton::clicked, this, [this] { Q_EMIT stepAsked(true); });
    connect(png, &QPushButton::clicked, this, [this] { chooseFile(false); });
    connect(svg, &QPushButton::clicked, this, [this] { chooseFile(true); });
    connect(copy, &QPushButton::clicked, this, &ExplainDialog::copyPicture);
    connect(close, &QPushButton::clicked, this, &QDialog::close);
    m_needPress = {before, next, png, svg, copy};
    m_told->setFont(typeFont(TypeSize::Small));
    m_told->setTextInteractionFlags(Qt::TextSelectableByMouse);
    m_told->setSizePolicy(QSizePolicy::Ignored, QSizePolicy::Preferred);
    row->addWidget(before);
    row->addWidget(next);
    row->addWidget(m_told, 1);
    for (QPushButton* button : {copy, png, svg, close}) {
        row->addWidget(button);
    }
    column->addLayout(row);
    // As much of it at once as a small laptop's screen has room for.
    const QSize screen = QGuiApplication::primaryScreen()->availableSize();
    resize(QSize(1120, 900).boundedTo(screen - QSize(40, 60)));
}

void ExplainDialog::setSubject(const std::optional<ExplainSubject>& subject)
{
    tell({});
    for (QPushButton* button : m_needPress) {
        button->setEnabled(subject.has_value());
    }
    if (!subject) {
        m_view->setHint(tr("No measured press is in hand: pick one in the table."));
        m_view->setExplanation(std::nullopt);
        m_fetcher.crop({});
        return;
    }
    static const ClipTraces none;
    const auto& choice = subject->press.choice;
    report::PressExplanation made = report::explainPress(
        {subject->clip, subject->regions, subject->traces ? *subject->traces : none,
            subject->press.press, choice && !choice->accepted ? choice->reason : std::string()});
    m_fileStem = QString::fromStdString(std::filesystem::path(subject->clip.file).stem().string())
        % QStringLiteral("-press-") % QString::number(made.number);
    setWindowTitle(tr("Press %1 explained").arg(made.number));
    ExplanationPictures pictures;
    if (m_index != subject->index) {
        m_index = subject->index;
        m_fetcher.open(m_index);
    } else {
        pictures = m_view->pictures();
        std::erase_if(pictures.parts, [&](const ExplanationPictures::Part& part) {
            return std::ranges::find(made.strip, part.frame, &report::StripFrame::frame)
                == made.strip.end();
        });
    }
    pictures.missing = m_index || subject->problem.isEmpty()
        ? QString()
        : tr("No pictures: %1").arg(subject->problem);
    m_view->setPictures(std::move(pictures));
    m_view->setExplanation(std::move(made));
    wishPictures();
}

void ExplainDialog::wishPictures()
{
    std::vector<CropWish> wishes;
    const report::PressExplanation& made = *m_view->explanation();
    for (const report::StripFrame& frame : made.strip) {
        for (const bool goggle : {false, true}) {
            const RectPx part = goggle ? made.gogglePart : made.referencePart;
            if (m_index && !part.isEmpty() && m_view->pictures().at(frame.frame, goggle).isNull()) {
                wishes.push_back({{frame.frame}, part});
            }
        }
    }
    m_fetcher.crop(std::move(wishes));
}

void ExplainDialog::takePicture(const CropWish& wish, const QImage& picture)
{
    const auto& made = m_view->explanation();
    if (!made) {
        return;
    }
    ExplanationPictures pictures = m_view->pictures();
    for (const bool goggle : {false, true}) {
        if (wish.part == (goggle ? made->gogglePart : made->referencePart)) {
            pictures.parts.push_back({wish.frame.value, goggle, picture});
        }
    }
    m_view->setPictures(std::move(pictures));
}

Result<void> ExplainDialog::saveTo(const std::filesystem::path& file) const
{
    if (!m_view->explanation()) {
        return fail(Stage::Report, Cause::InvalidValue, "No press is in hand; pick one first.");
    }
    const std::string ending = file.extension().string();
    if (ending != ".png" && ending != ".svg") {
        return fail(Stage::Report, Cause::InvalidValue,
            file.filename().string() + " ends neither in .png nor in .svg; give it one of them.");
    }
    const QByteArray bytes = ending == ".svg"
        ? explanationSvg(*m_view->explanation(), m_view->pictures())
        : explanationPng(*m_view->explanation(), m_view->pictures());
    return writeFileAside(file, bytes.toStdString(), Stage::Report);
}

void ExplainDialog::copyPicture()
{
    if (m_view->explanation()) {
        QApplication::clipboard()->setImage(
            explanationPicture(*m_view->explanation(), m_view->pictures()));
        tell(tr("The picture is on the clipboard."));
    }
}

void ExplainDialog::chooseFile(bool svg)
{
    const QString ending = svg ? QStringLiteral(".svg") : QStringLiteral(".png");
    const QString folder = QSettings().value(folderKey).toString();
    auto* dialog = new QFileDialog(this, tr("Save the explanation"), folder,
        svg ? tr("Vector file (*.svg)") : tr("Picture (*.png)"));
    dialog->setAttribute(Qt::WA_DeleteOnClose);
    dialog->setAcceptMode(QFileDialog::AcceptSave);
    dialog->setDefaultSuffix(ending.mid(1));
    dialog->selectFile(m_fileStem % ending);
    connect(dialog, &QFileDialog::fileSelected, this, [this](const QString& file) {
        QSettings().setValue(folderKey, QFileInfo(file).absolutePath());
        const auto saved = saveTo(std::filesystem::path(file.toStdString()));
        tell(saved ? tr("Saved as %1.").arg(QFileInfo(file).fileName())
                   : QString::fromStdString(saved.error().detail));
    });
    dialog->open();
}

void ExplainDialog::tell(const QString& text)
{
    m_told->setText(text);
    m_told->setToolTip(text);
}

} // namespace twinlamp::ui
