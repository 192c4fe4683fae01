// SPDX-License-Identifier: GPL-3.0-or-later
// How the page is built; what it shows and does is in rig_page_work.cpp.
#include "ui/pages/rig_page.h"

#include "ui/theme/theme.h"
#include "ui/widgets/ask_bar.h"
#include "ui/widgets/cautions.h"
#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QFormLayout>
#include <QHBoxLayout>
#include <QLabel>
#include <QLineEdit>
#include <QListWidget>
#include <QProgressBar>
#include <QPushButton>
#include <QScrollArea>
#include <QVBoxLayout>

namespace twinlamp::ui {

namespace {

constexpr int listWidth = 248;
constexpr int columnWidth = 720; ///< lines longer than this are hard to read
constexpr int fieldWidth = 280;

QLabel* paragraph(const QString& text)
{
    auto* label = new QLabel(text);
    label->setWordWrap(true);
    return label;
}

QString textOf(const std::optional<double>& value) { return value ? rateText(*value) : QString(); }

/// Takes a number, or nothing from an empty field.
template<typename Fits> bool takeNumber(const QString& text, std::optional<double>& into, Fits fits)
{
    const std::optional<double> value = numberIn(text);
    if (value ? !fits(*value) : !text.trimmed().isEmpty()) {
        return false;
    }
    into = value;
    return true;
}

} // namespace

RigPage::RigPage(SessionDocument& document, QThreadPool& pool, QWidget* parent)
    : QWidget(parent)
    , m_document(document)
    , m_runner(pool)
{
    setObjectName(QStringLiteral("page"));
    setAttribute(Qt::WA_StyledBackground);
    build();
    connect(&m_document, &SessionDocument::changed, this, &RigPage::onSessionChanged);
    connect(&m_document, &SessionDocument::replaced, this, [this] {
        m_runner.drop();
        m_rig = {};
        onSessionChanged();
    });
    connect(&m_runner, &JobRunner::progressed, this,
        [this](ScaledProgress progress) { showWork(progress); });
    connect(&m_runner, &JobRunner::runningChanged, this, [this](bool running) {
        showWork(std::nullopt);
        m_work->setVisible(running);
        enableAll();
    });
    m_work->setVisible(false);
    onSessionChanged();
}

RigPage::~RigPage() = default;

void RigPage::build()
{
    m_asks = new AskStack;
    auto* strip = new QWidget;
    strip->setObjectName(QStringLiteral("answerStrip"));
    strip->setAttribute(Qt::WA_StyledBackground);
    auto* stripRow = new QHBoxLayout(strip);
    stripRow->setContentsMargins(16, 8, 16, 8);
    m_sentence = paragraph({});
    m_sentence->setTextInteractionFlags(Qt::TextSelectableByMouse);
    stripRow->addWidget(m_sentence);
    auto* body = new QHBoxLayout;
    body->setContentsMargins(0, 0, 0, 0);
    body->setSpacing(0);
    body->addWidget(buildList());
    body->addWidget(buildDetails(), 1);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(0);
    column->addWidget(strip);
    column->addWidget(m_asks);
    column->addLayout(body, 1);
}

QWidget* RigPage::buildList()
{
    auto* side = new QWidget;
    side->setObjectName(QStringLiteral("sideColumn"));
    side->setFixedWidth(listWidth);
    auto* column = new QVBoxLayout(side);
    column->setContentsMargins(16, 12, 12, 12);
    column->setSpacing(8);
    column->addWidget(headingLabel(tr("Rigs")));
    m_list = new QListWidget;
    m_list->setEditTriggers(QAbstractItemView::EditKeyPressed | QAbstractItemView::DoubleClicked);
    m_list->setAccessibleName(tr("Rigs of the session"));
    column->addWidget(m_list, 1);
    auto* buttons = new QHBoxLayout;
    buttons->setSpacing(8);
    m_add = new QPushButton(tr("Add a rig"));
    m_remove = new QPushButton(tr("Remove"));
    buttons->addWidget(m_add);
    buttons->addWidget(m_remove);
    buttons->addStretch();
    column->addLayout(buttons);
    connect(m_add, &QPushButton::clicked, this, &RigPage::addRig);
    connect(m_remove, &QPushButton::clicked, this, &RigPage::removeRig);
    connect(m_list, &QListWidget::currentRowChanged, this, [this](int row) {
        if (!m_showing && row >= 0) {
            pickRig({m_list->item(row)->data(Qt::UserRole).toLongLong()});
        }
    });
    connect(m_list, &QListWidget::itemChanged, this, [this](QListWidgetItem* item) {
        if (!m_showing) {
            rename(item->text());
        }
    });
    return side;
}

QWidget* RigPage::buildDetails()
{
    auto* holder = new QWidget;
    holder->setObjectName(QStringLiteral("page"));
    auto* outer = new QVBoxLayout(holder);
    outer->setContentsMargins(24, 12, 24, 24);
    m_nothing = paragraph(tr("A rig is a camera in one mode with its lamps. Add one, then make a "
                             "zero check (both lamps in direct view) and a time-base check (a lamp "
                             "driven with a known period): the clips of the rig are then measured "
                             "with what the checks found, and the result says so."));
    m_nothing->setMaximumWidth(columnWidth);
    outer->addWidget(m_nothing);
    m_details = new QWidget;
    m_details->setMaximumWidth(columnWidth);
    auto* column = new QVBoxLayout(m_details);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(8);
    column->addWidget(headingLabel(tr("Camera")));
    column->addWidget(buildFields());
    column->addSpacing(12);
    column->addWidget(headingLabel(tr("Clips")));
    column->addWidget(buildClips());
    column->addSpacing(12);
    column->addWidget(headingLabel(tr("New check")));
    column->addWidget(buildNewCheck());
    column->addSpacing(12);
    column->addWidget(headingLabel(tr("Checks")));
    m_noChecks = quietLabel(tr("None yet."));
    column->addWidget(m_noChecks);
    m_checks = new QVBoxLayout;
    m_checks->setSpacing(0);
    column->addLayout(m_checks);
    outer->addWidget(m_details);
    outer->addStretch(1);
    auto* scroll = new QScrollArea;
    scroll->setWidget(holder);
    scroll->setWidgetResizable(true);
    scroll->setFrameShape(QFrame::NoFrame);
    return scroll;
}

void RigPage::addField(QFormLayout* form, const QString& label, const QString& hint, Field field)
{
    auto* edit = new QLineEdit;
    edit->setPlaceholderText(hint);
    edit->setFixedWidth(fieldWidth);
    form->addRow(label, edit);
    field.edit = edit;
    edit->setToolTip(field.toolTip);
    edit->setAccessibleName(label);
    const QString expected
        = field.expected.isEmpty() ? tr("A number is expected here, or nothing") : field.expected;
    connect(edit, &QLineEdit::textEdited, this, [edit] { markWrong(edit, false); });
    connect(edit, &QLineEdit::editingFinished, this, [this, edit, expected, take = field.take] {
        const session::Rig* rig = inHand();
        if (rig == nullptr || m_showing || !isWritable()) {
            return;
        }
        session::Rig after = *rig;
        if (take(edit->text(), after)) {
            edit->setModified(false);
            changeRig(after);
        } else {
            markWrong(edit, expected);
        }
    });
    m_fields.push_back(std::move(field));
}

RigPage::Field RigPage::shortestHoldField()
{
    Field field;
    field.show = [](const session::Rig& rig) {
        return rig.shortestHold ? rateText(toMs(*rig.shortestHold)) : QString();
    };
    field.take = [](const QString& text, session::Rig& rig) {
        std::optional<double> ms;
        const bool understood = takeNumber(text, ms, [](double typed) {
            constexpr double shortestMs = 0.001; // the field shows three decimals
            return typed >= shortestMs && typed <= toMs(session::longestShortestHold);
        });
        if (understood) {
            rig.shortestHold = ms ? std::optional(latencyFromMs(*ms)) : std::nullopt;
        }
        return understood;
    };
    field.expected = tr("A time above 0 and up to %1 ms is expected here, or nothing")
                         .arg(rateText(toMs(session::longestShortestHold)));
    field.toolTip = tr(
        "The shortest time, in ms, between two switchings of your lamps, lit or dark. With "
        "it, clips of this rig show their latencies after a part of their frames is read: "
        "those around the switchings, which are looked for in steps shorter than this time. "
        "The other frames are read after that, while nothing else is to be done.\n\n"
        "State a time that you are sure of, such as that of your quickest press, or a little "
        "less. If one hold was shorter, its two switchings may be missing until every frame "
        "is read; no other figure is wrong. The longer the time, the fewer frames are read first.");
    return field;
}

QWidget* RigPage::buildFields()
{
    auto* holder = new QWidget;
    auto* form = new QFormLayout(holder);
    form->setContentsMargins(0, 0, 0, 0);
    form->setVerticalSpacing(6);
    form->setLabelAlignment(Qt::AlignLeft);
    addField(form, tr("Camera and mode"), tr("what you would need to set it up again"),
        {nullptr, [](const session::Rig& rig) { return QString::fromStdString(rig.camera); },
            [](const QString& text, session::Rig& rig) {
                rig.camera = text.trimmed().toStdString();
                return true;
            }});
    addField(form, tr("Capture rate, frames/s"), tr("as the camera labels it"),
        {nullptr,
            [](const session::Rig& rig) {
                return rig.captureRate ? QString::fromStdString(toText(*rig.captureRate))
                                       : QString();
            },
            [](const QString& text, session::Rig& rig) {
                const auto rate = parseFrameRate(text.trimmed().toStdString());
                if (!rate && !text.trimmed().isEmpty()) {
                    return false;
                }
                rig.captureRate = rate;
                return true;
            }});
    addField(form, tr("Exposure, ms"), tr("estimated"),
        {nullptr, [](const session::Rig& rig) { return textOf(rig.exposureMs); },
            [](const QString& text, session::Rig& rig) {
                return takeNumber(text, rig.exposureMs, [](double ms) { return ms > 0.0; });
            }});
    addField(form, tr("Line time, \u00B5s"),
        tr("estimated; a zero check tells it better; 0: all rows at once"),
        {nullptr, [](const session::Rig& rig) { return textOf(rig.lineTimeUs); },
            [](const QString& text, session::Rig& rig) {
                return takeNumber(text, rig.lineTimeUs, [](double) { return true; });
            }});
    addField(form, tr("Shortest hold, ms"), tr("not known: every frame is read first"),
        shortestHoldField());
    addField(form, tr("Notes"), tr("lamps, diffuser, stand"),
        {nullptr, [](const session::Rig& rig) { return QString::fromStdString(rig.notes); },
            [](const QString& text, session::Rig& rig) {
                rig.notes = text.trimmed().toStdString();
                return true;
            }});
    return holder;
}

QWidget* RigPage::buildClips()
{
    auto* holder = new QWidget;
    auto* row = new QHBoxLayout(holder);
    row->setContentsMargins(0, 0, 0, 0);
    row->setSpacing(8);
    m_clips = new QLabel;
    m_assignAll = new QPushButton;
    m_assignNone = new QPushButton(tr("None of them"));
    row->addWidget(m_clips);
    row->addStretch();
    row->addWidget(m_assignAll);
    row->addWidget(m_assignNone);
    connect(m_assignAll, &QPushButton::clicked, this, [this] { assign(true); });
    connect(m_assignNone, &QPushButton::clicked, this, [this] { assign(false); });
    return holder;
}

QWidget* RigPage::buildNewCheck()
{
    auto* holder = new QWidget;
    auto* column = new QVBoxLayout(holder);
    column->setContentsMargins(0, 0, 0, 0);
    column->setSpacing(8);
    column->addWidget(paragraph(
        tr("Zero check: put the lamp of the link camera beside the other one, both in direct view, "
           "and press six times or more. Drop the clip here or choose it.")));
    m_zero = new QPushButton(tr("Zero check from a clip\u2026"));
    m_timeBase = new QPushButton(tr("Time-base check from a clip\u2026"));
    auto* zeroRow = new QHBoxLayout;
    zeroRow->addWidget(m_zero);
    zeroRow->addStretch();
    column->addLayout(zeroRow);
    column->addSpacing(4);
    column->addWidget(paragraph(
        tr("Time-base check: drive a lamp from a quartz clock with a period of 2 s or more and "
           "film ten periods or more.")));
    auto* timeRow = new QHBoxLayout;
    timeRow->setSpacing(8);
    m_period = new QLineEdit(QStringLiteral("2000"));
    m_period->setFixedWidth(80);
    m_period->setAccessibleName(tr("Period of the lamp, ms"));
    m_periodWidth = new QLineEdit;
    m_periodWidth->setPlaceholderText(QStringLiteral("0"));
    m_periodWidth->setFixedWidth(64);
    m_periodWidth->setAccessibleName(tr("95 % half width of the period, ms"));
    timeRow->addWidget(m_timeBase);
    timeRow->addWidget(new QLabel(tr("period")));
    timeRow->addWidget(m_period);
    timeRow->addWidget(new QLabel(tr("ms \u00B1")));
    timeRow->addWidget(m_periodWidth);
    timeRow->addWidget(new QLabel(tr("ms")));
    timeRow->addStretch();
    column->addLayout(timeRow);
    m_work = new QWidget;
    auto* workRow = new QHBoxLayout(m_work);
    workRow->setContentsMargins(0, 4, 0, 4);
    workRow->setSpacing(8);
    m_stage = new QLabel;
    m_progress = new QProgressBar;
    m_progress->setTextVisible(false);
    m_progress->setFixedWidth(200);
    auto* stopButton = new QPushButton(tr("Stop"));
    workRow->addWidget(m_stage);
    workRow->addWidget(m_progress);
    workRow->addWidget(stopButton);
    workRow->addStretch();
    column->addWidget(m_work);
    column->addWidget(quietLabel(tr(
        "Care: lamps that flash can trigger seizures in people with photosensitive epilepsy. One "
        "change a second or slower, and warn people nearby. Diffuse bright lamps and do not look "
        "into them.")));
    connect(m_zero, &QPushButton::clicked, this, [this] { Q_EMIT clipAsked(CheckKind::Zero); });
    connect(
        m_timeBase, &QPushButton::clicked, this, [this] { Q_EMIT clipAsked(CheckKind::TimeBase); });
    connect(stopButton, &QPushButton::clicked, this, &RigPage::stop);
    return holder;
}

} // namespace twinlamp::ui
