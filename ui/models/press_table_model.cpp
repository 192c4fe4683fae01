// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/press_table_model.h"

#include "ui/widgets/figures.h"

#include <algorithm>

namespace twinlamp::ui {

namespace {

QString timeText(const std::optional<RealTime>& time, const std::optional<Latency>& uncertainty)
{
    if (!time) {
        return enDash;
    }
    return numberText(toMs(*time),
        decimalsFor(uncertainty ? std::optional(toMs(*uncertainty)) : std::nullopt, 2));
}

bool wasMoved(const session::EffectivePress& press, std::optional<RealTime> Press::*mark)
{
    return press.press.*mark != press.measured.*mark;
}

} // namespace

QString reasonText(const session::EffectivePress& press)
{
    if (press.choice && !press.choice->reason.empty()) {
        return QString::fromStdString(press.choice->reason);
    }
    if (press.choice) {
        return PressTableModel::tr("by hand");
    }
    // The program sets nothing aside without a reason; see setAside in core/base/press.h.
    return doubtsText(reasonsSetAside(press.press));
}

PressTableModel::PressTableModel(QObject* parent)
    : QAbstractTableModel(parent)
{
}

void PressTableModel::setRows(std::vector<PressRow> rows)
{
    const bool sameRows = std::ranges::equal(
        rows, m_rows, [](const PressRow& a, const PressRow& b) { return a.address == b.address; });
    if (!sameRows) {
        beginResetModel();
        m_rows = std::move(rows);
        endResetModel();
        return;
    }
    for (std::size_t i = 0; i < rows.size(); ++i) {
        if (rows[i] != m_rows[i]) {
            m_rows[i] = std::move(rows[i]);
            const int row = static_cast<int>(i);
            Q_EMIT dataChanged(index(row, 0), index(row, ColumnCount - 1));
        }
    }
}

std::optional<int> PressTableModel::rowOf(session::PressAddress address) const
{
    const auto found = std::ranges::find(m_rows, address, &PressRow::address);
    return found == m_rows.end() ? std::nullopt
                                 : std::optional(static_cast<int>(found - m_rows.begin()));
}

int PressTableModel::rowCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : static_cast<int>(m_rows.size());
}

int PressTableModel::columnCount(const QModelIndex& parent) const
{
    return parent.isValid() ? 0 : ColumnCount;
}

QString PressTableModel::text(const PressRow& row, int column) const
{
    const Press& press = row.press.press;
    switch (column) {
    case Number:
        return QString::number(press.index + 1);
    case Clip:
        return row.clip;
    case EdgeKind:
        return edgeText(press.edge);
    case Onset:
        return timeText(press.reference, press.uncertainty);
    case FirstLight:
        return timeText(press.firstLight, press.uncertainty);
    case LatencyColumn:
        return press.latency ? latencyText(*press.latency, press.uncertainty) : QString(enDash);
    case FullFrame:
        return press.fullFrameLatency ? msText(toMs(*press.fullFrameLatency), 1) : QString(enDash);
    case Doubts:
        return doubtsText(press.flags);
    case Accepted:
        return press.accepted ? reasonText(row.press)
                              : tr("set aside: %1").arg(reasonText(row.press));
    default:
        return {};
    }
}

QVariant PressTableModel::sortValue(const PressRow& row, int column) const
{
    const Press& press = row.press.press;
    const auto time = [](const auto& value) { return value ? QVariant(toMs(*value)) : QVariant(); };
    switch (column) {
    case Number:
        return press.index;
    case Onset:
        return time(press.reference);
    case FirstLight:
        return time(press.firstLight);
    case LatencyColumn:
        return time(press.latency);
    case FullFrame:
        return time(press.fullFrameLatency);
    default:
        return text(row, column);
    }
}

QString PressTableModel::toolTip(const PressRow& row, int column) const
{
    QStringList lines;
    if (column == Doubts || column == LatencyColumn || column == Accepted) {
        for (const Flag flag : row.press.press.flags) {
            const std::string_view sentence = flagSentence(flag);
            lines << QString::fromUtf8(sentence.data(), static_cast<qsizetype>(sentence.size()));
        }
    }
    if (column == Onset && wasMoved(row.press, &Press::reference)) {
        lines << tr("measured at %1").arg(timeText(row.press.measured.reference, {}));
    }
    if (column == FirstLight && wasMoved(row.press, &Press::firstLight)) {
        lines << tr("measured at %1").arg(timeText(row.press.measured.firstLight, {}));
    }
    return lines.join(QLatin1Char('\n'));
}

QVariant PressTableModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid() || index.row() >= static_cast<int>(m_rows.size())) {
        return {};
    }
    const PressRow& row = m_rows[static_cast<std::size_t>(index.row())];
    const int column = index.column();
    switch (role) {
    case Qt::DisplayRole:
        return text(row, column);
    case Qt::EditRole:
        return column == Accepted && row.press.choice
            ? QVariant(QString::fromStdString(row.press.choice->reason))
            : QVariant(text(row, column));
    case Qt::TextAlignmentRole:
        return column == Clip || column == EdgeKind || column == Doubts || column == Accepted
            ? QVariant(Qt::AlignLeft | Qt::AlignVCenter)
            : QVariant(Qt::AlignRight | Qt::AlignVCenter);
    case Qt::CheckStateRole:
        return column == Accepted ? QVariant(row.press.press.accepted ? Qt::Checked : Qt::Unchecked)
                                  : QVariant();
    case Qt::ToolTipRole:
        return toolTip(row, column);
    case SortRole:
        return sortValue(row, column);
    case AcceptedRole:
        return row.press.press.accepted;
    case MovedRole:
        return (column == Onset && wasMoved(row.press, &Press::reference))
            || (column == FirstLight && wasMoved(row.press, &Press::firstLight));
    default:
        return {};
    }
}

bool PressTableModel::setData(const QModelIndex& index, const QVariant& value, int role)
{
    if (!index.isValid() || index.column() != Accepted) {
        return false;
    }
    const PressRow& row = m_rows[static_cast<std::size_t>(index.row())];
    if (role == Qt::CheckStateRole) {
        Q_EMIT acceptAsked(row.address, value.toInt() == Qt::Checked);
        return true;
    }
    if (role == Qt::EditRole) {
        Q_EMIT reasonTyped(row.address, value.toString());
        return true;
    }
    return false;
}

QVariant PressTableModel::headerData(int section, Qt::Orientation orientation, int role) const
{
    if (orientation != Qt::Horizontal || section < 0 || section >= ColumnCount) {
        return {};
    }
    if (role == Qt::TextAlignmentRole) {
        return section == Clip || section == EdgeKind || section == Doubts || section == Accepted
            ? QVariant(Qt::AlignLeft | Qt::AlignVCenter)
            : QVariant(Qt::AlignRight | Qt::AlignVCenter);
    }
    static const std::array<std::pair<const char*, const char*>, ColumnCount> words {{
        {QT_TR_NOOP("#"), QT_TR_NOOP("Number of the press within its clip")},
        {QT_TR_NOOP("clip"), QT_TR_NOOP("Footage that shows the press")},
        {QT_TR_NOOP("edge"), QT_TR_NOOP("Lamps switched on or off; the kinds are never pooled")},
        {QT_TR_NOOP("onset, ms"), QT_TR_NOOP("The reference lamp starts to change, real time")},
        {QT_TR_NOOP("first light, ms"),
            QT_TR_NOOP("The goggle lamp has made 10 % of its step, real time")},
        {QT_TR_NOOP("latency"), QT_TR_NOOP("First light minus onset, with its 95 % half width")},
        {QT_TR_NOOP("full frame"),
            QT_TR_NOOP("The last part of the panel has changed, from the onset on")},
        {QT_TR_NOOP("doubts"), QT_TR_NOOP("Reasons to trust the figure less")},
        {QT_TR_NOOP("counts"), QT_TR_NOOP("Accepted, or set aside with a reason")},
    }};
    const auto& [name, help] = words.at(static_cast<std::size_t>(section));
    return role == Qt::DisplayRole ? QVariant(tr(name))
        : role == Qt::ToolTipRole  ? QVariant(tr(help))
                                   : QVariant();
}

Qt::ItemFlags PressTableModel::flags(const QModelIndex& index) const
{
    if (!index.isValid()) {
        return {};
    }
    Qt::ItemFlags flags = QAbstractTableModel::flags(index) | Qt::ItemNeverHasChildren;
    if (index.column() == Accepted) {
        flags |= Qt::ItemIsUserCheckable;
        const PressRow& row = m_rows[static_cast<std::size_t>(index.row())];
        if (!row.press.press.accepted) {
            flags |= Qt::ItemIsEditable;
        }
    }
    return flags;
}

} // namespace twinlamp::ui
