// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/options_dialog.h"

#include "ui/widgets/figures.h"
#include "ui/widgets/marking.h"

#include <QComboBox>
#include <QDialogButtonBox>
#include <QFormLayout>
#include <QLabel>
#include <QLineEdit>
#include <QPushButton>
#include <QVBoxLayout>

#include <utility>

namespace twinlamp::ui {

namespace {

QString textOf(const std::optional<double>& value) { return value ? rateText(*value) : QString(); }

} // namespace

OptionsDialog::OptionsDialog(measure::MeasureOptions options, QWidget* parent)
    : QDialog(parent)
    , m_options(std::move(options))
{
    setWindowTitle(tr("How this clip is measured"));
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(24, 16, 24, 16);
    column->setSpacing(12);
    auto* note
        = quietLabel(tr("What you know about the camera makes the figures surer. What you leave "
                        "empty is read from the file, estimated or done without, and the "
                        "uncertainty allows for it."));
    note->setMinimumWidth(420);
    column->addWidget(note);
    auto* form = new QFormLayout;
    form->setVerticalSpacing(6);
    column->addLayout(form);
    addCamera(form);
    addPresses(form);
    auto* buttons = new QDialogButtonBox(QDialogButtonBox::Cancel);
    auto* measure = buttons->addButton(tr("Measure with these"), QDialogButtonBox::AcceptRole);
    makePrimary(measure);
    connect(buttons, &QDialogButtonBox::accepted, this, &OptionsDialog::accept);
    connect(buttons, &QDialogButtonBox::rejected, this, &OptionsDialog::reject);
    column->addWidget(buttons);
    column->addStretch();
}

void OptionsDialog::add(QFormLayout* form, const QString& label, const QString& text,
    const QString& hint, const QString& help, Take take)
{
    auto* edit = new QLineEdit(text);
    edit->setPlaceholderText(hint);
    edit->setToolTip(help);
    connect(edit, &QLineEdit::textEdited, this, [edit] { markWrong(edit, false); });
    form->addRow(label, edit);
    m_fields.push_back({edit, std::move(take)});
}

void OptionsDialog::addCamera(QFormLayout* form)
{
    using measure::MeasureOptions;
    add(form, tr("Capture rate, frames/s"),
        m_options.captureRate ? QString::fromStdString(toText(*m_options.captureRate)) : QString(),
        tr("from the file"), tr("Frames per second of real time: 240, 239.76 or 240000/1001"),
        [](const QString& text, MeasureOptions& options) {
            options.captureRate = parseFrameRate(text.trimmed().toStdString());
            options.captureRateSource = RateSource::Given;
            return options.captureRate.has_value() || text.trimmed().isEmpty();
        });
    add(form, tr("Exposure, ms"), textOf(m_options.exposureMs), tr("estimated"),
        tr("Exposure of one frame of the high-speed camera"),
        [](const QString& text, MeasureOptions& options) {
            options.exposureMs = numberIn(text);
            return options.exposureMs ? *options.exposureMs > 0.0 : text.trimmed().isEmpty();
        });
    add(form, tr("Line time, us"), textOf(m_options.lineTimeUs), tr("estimated"),
        tr("Rolling shutter: from one row of the stored picture to the next; negative: bottom "
           "first; 0: all rows at once"),
        [](const QString& text, MeasureOptions& options) {
            options.lineTimeUs = numberIn(text);
            return options.lineTimeUs || text.trimmed().isEmpty();
        });
    addTransfer(form);
    add(form, tr("Zero correction, ms"), textOf(m_options.zeroMs), QStringLiteral("0"),
        tr("Difference that a zero check found; it is subtracted from every latency"),
        [](const QString& text, MeasureOptions& options) {
            const auto value = numberIn(text);
            options.zeroMs = value.value_or(0.0);
            return value || text.trimmed().isEmpty();
        });
    add(form, tr("Its 95 % half width, ms"), textOf(m_options.zeroUncertaintyMs),
        QStringLiteral("0"), tr("How sure that correction is"),
        [](const QString& text, MeasureOptions& options) {
            const auto value = numberIn(text);
            options.zeroUncertaintyMs = value.value_or(0.0);
            return value ? *value >= 0.0 : text.trimmed().isEmpty();
        });
}

void OptionsDialog::addTransfer(QFormLayout* form)
{
    using measure::TransferCurve;
    m_transfer = new QComboBox;
    m_transfer->setToolTip(
        tr("The camera's curve from light to code value. Choose it where the file's tag is missing "
           "or wrong: partly lit frames are read through it"));
    m_transfer->addItem(tr("as the file says"));
    const auto addCurve = [this](const QString& name, TransferCurve curve) {
        m_transfer->addItem(name, static_cast<int>(curve));
    };
    addCurve(tr("BT.709"), TransferCurve::Bt709);
    addCurve(tr("sRGB"), TransferCurve::Srgb);
    addCurve(tr("gamma 2.2"), TransferCurve::Gamma22);
    addCurve(tr("gamma 2.8"), TransferCurve::Gamma28);
    addCurve(tr("linear"), TransferCurve::Linear);
    addCurve(tr("HLG"), TransferCurve::Hlg);
    addCurve(tr("PQ"), TransferCurve::Pq);
    if (m_options.transfer) {
        m_transfer->setCurrentIndex(m_transfer->findData(static_cast<int>(*m_options.transfer)));
    }
    form->addRow(tr("Camera's curve"), m_transfer);
}

void OptionsDialog::addPresses(QFormLayout* form)
{
    add(form, tr("Search span, ms"), textOf(m_options.searchMs), QStringLiteral("150"),
        tr("How long after the reference lamp an answer may come"),
        [](const QString& text, measure::MeasureOptions& options) {
            const auto value = numberIn(text);
            options.searchMs = value.value_or(measure::MeasureOptions {}.searchMs);
            return value ? *value > 0.0 : text.trimmed().isEmpty();
        });
    m_edges = new QComboBox;
    m_edges->addItem(tr("on and off"), static_cast<int>(measure::EdgeChoice::Both));
    m_edges->addItem(tr("on only"), static_cast<int>(measure::EdgeChoice::On));
    m_edges->addItem(tr("off only"), static_cast<int>(measure::EdgeChoice::Off));
    m_edges->setCurrentIndex(m_edges->findData(static_cast<int>(m_options.edges)));
    form->addRow(tr("Edges"), m_edges);
}

void OptionsDialog::accept()
{
    measure::MeasureOptions options = m_options;
    options.edges = static_cast<measure::EdgeChoice>(m_edges->currentData().toInt());
    options.transfer.reset();
    if (const QVariant transfer = m_transfer->currentData(); transfer.isValid()) {
        options.transfer = static_cast<measure::TransferCurve>(transfer.toInt());
    }
    bool understood = true;
    for (const Field& field : m_fields) {
        const bool taken = field.take(field.edit->text(), options);
        markWrong(field.edit, !taken);
        if (!taken && understood) {
            field.edit->setFocus();
            markWrong(field.edit,
                tr("A number is expected here (%1), or nothing")
                    .arg(field.edit->placeholderText()));
        }
        understood = understood && taken;
    }
    if (understood) {
        Q_EMIT optionsChosen(options);
        QDialog::accept();
    }
}

} // namespace twinlamp::ui
