// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/widgets/session_panel.h"

#include "ui/edits/clip_filing.h"
#include "ui/edits/session_document.h"
#include "ui/edits/tree_edits.h"
#include "ui/plots/histogram_geometry.h"
#include "ui/theme/theme.h"
#include "ui/widgets/latency_axis.h"
#include "ui/widgets/marking.h"
#include "ui/widgets/session_tree.h"
#include "ui/widgets/setting_delegate.h"

#include <QAction>
#include <QEvent>
#include <QHBoxLayout>
#include <QLabel>
#include <QMenu>
#include <QToolButton>

#include <algorithm>

namespace twinlamp::ui {

namespace {

constexpr int indentation = 14;
constexpr int rowMargin = 8;

} // namespace

SessionPanel::SessionPanel(SessionDocument& document, QWidget* parent)
    : QWidget(parent)
    , m_document(document)
    , m_model(new SessionTreeModel(this))
    , m_delegate(new SettingDelegate(this))
    , m_tree(new SessionTree)
    , m_axis(new LatencyAxis)
{
    setObjectName(QStringLiteral("sessionPanel"));
    setAttribute(Qt::WA_StyledBackground);
    auto* column = new QVBoxLayout(this);
    column->setContentsMargins(8, 4, 0, 4);
    column->setSpacing(0);
    auto* head = new QHBoxLayout;
    head->setSpacing(0);
    head->addWidget(headingLabel(tr("Link settings")));
    head->addStretch();
    column->addLayout(head);

    m_actions << addAction(
        QStringLiteral("setting"), tr("Add link setting"), {}, &SessionPanel::addSetting);
    m_addRun = addAction(QStringLiteral("run"), tr("Add run"), {}, &SessionPanel::addRun);
    m_conditions = addAction(
        QStringLiteral("measure"), tr("Conditions…"), {}, &SessionPanel::editConditions);
    m_rename = addAction(QStringLiteral("rename"), tr("Rename"), Qt::Key_F2, &SessionPanel::rename);
    m_remove
        = addAction(QStringLiteral("remove"), tr("Remove"), Qt::Key_Delete, &SessionPanel::remove);
    m_actions << m_addRun << m_conditions << m_rename << m_remove;
    for (QAction* action : {m_actions.front(), m_addRun, m_conditions, m_rename, m_remove}) {
        auto* button = new QToolButton;
        button->setDefaultAction(action);
        head->addWidget(button);
    }

    buildTree();
    m_empty = quietLabel(
        tr("No link setting yet. Clips that you add are filed under one, run by run."));
    m_empty->setContentsMargins(4, 8, 8, 8);
    column->addWidget(m_empty);
    column->addWidget(m_tree, 1);
    column->addWidget(m_axis);
    column->addStretch();
    wire();
    onSessionChanged();
}

void SessionPanel::buildTree()
{
    m_tree->setModel(m_model);
    m_tree->setItemDelegate(m_delegate);
    m_tree->setHeaderHidden(true);
    m_tree->setIndentation(indentation);
    m_tree->setUniformRowHeights(false);
    m_tree->setMouseTracking(true);
    m_tree->setDragDropMode(QAbstractItemView::DragDrop);
    m_tree->setDefaultDropAction(Qt::MoveAction);
    m_tree->setEditTriggers(QAbstractItemView::EditKeyPressed | QAbstractItemView::DoubleClicked);
    m_tree->setHorizontalScrollBarPolicy(Qt::ScrollBarAlwaysOff);
    m_tree->setVerticalScrollMode(QAbstractItemView::ScrollPerPixel);
    m_tree->setContextMenuPolicy(Qt::CustomContextMenu);
    m_tree->viewport()->installEventFilter(this);
    m_tree->setAccessibleName(tr("Link settings, runs and clips"));
}

void SessionPanel::wire()
{
    connect(m_tree, &QTreeView::customContextMenuRequested, this, &SessionPanel::onContextMenu);
    connect(m_tree->selectionModel(), &QItemSelectionModel::currentChanged, this,
        [this](const QModelIndex& current) {
            if (const auto place = m_model->placeAt(current)) {
                m_place = place;
                m_delegate->setInHand(settingInHand());
                m_tree->viewport()->update();
                enableActions();
                Q_EMIT placePicked(*place);
            }
        });
    connect(m_model, &SessionTreeModel::renameAsked, this, &SessionPanel::renameTo);
    connect(m_model, &SessionTreeModel::moveAsked, this, &SessionPanel::moveTo);
    connect(m_model, &SessionTreeModel::filesDropped, this,
        [this](const QStringList& files, TreePlace onto) {
            if (onto.id != 0) {
                pick(onto);
            }
            Q_EMIT filesDropped(files);
        });
    connect(m_tree, &QTreeView::expanded, this,
        [this](const QModelIndex& index) { m_open.insert(*m_model->placeAt(index)); });
    connect(m_tree, &QTreeView::collapsed, this,
        [this](const QModelIndex& index) { m_open.erase(*m_model->placeAt(index)); });
    for (const auto folded : {&QTreeView::expanded, &QTreeView::collapsed}) {
        connect(m_tree, folded, this, &SessionPanel::updateAxis, Qt::QueuedConnection);
    }
    connect(&m_document, &SessionDocument::replaced, this, [this] {
        m_place.reset();
        m_open.clear();
    });
    connect(&m_document, &SessionDocument::changed, this, &SessionPanel::onSessionChanged);
}

QAction* SessionPanel::addAction(
    const QString& icon, const QString& text, const QKeySequence& key, void (SessionPanel::*act)())
{
    auto* action = new QAction(themeIcon(icon), text, this);
    action->setShortcut(key);
    // Delete and F2 belong to whatever has the focus: here they mean the rows.
    action->setShortcutContext(Qt::WidgetWithChildrenShortcut);
    connect(action, &QAction::triggered, this, act);
    QWidget::addAction(action);
    return action;
}

void SessionPanel::onSessionChanged()
{
    const session::Session& session = m_document.session();
    const auto before = m_place;
    m_model->setSession(session);
    const auto figures = settingFigures(session);
    std::vector<stats::Histogram> histograms;
    histograms.reserve(figures.size());
    for (const SettingFigures& each : figures) {
        histograms.push_back(each.histogram);
    }
    m_delegate->setAxis(histograms.empty() ? stats::HistogramAxis {} : histograms.front().axis,
        tallestBin(histograms));
    for (int row = 0; row < m_model->rowCount({}); ++row) {
        const QModelIndex index = m_model->index(row, 0, {});
        const TreePlace place = *m_model->placeAt(index);
        m_tree->setExpanded(index, m_open.contains(place));
        for (int run = 0; run < m_model->rowCount(index); ++run) {
            m_tree->setExpanded(m_model->index(run, 0, index), true);
        }
    }
    m_empty->setVisible(session.settings.empty());
    if (before) {
        pick(*before);
    }
    if (m_place && !m_model->indexOf(*m_place).isValid()) {
        m_place.reset();
    }
    if (!m_place && !session.settings.empty()) {
        pick({TreeKind::Setting, session.settings.front().id.value});
    }
    m_delegate->setInHand(settingInHand());
    enableActions();
    updateAxis();
    m_tree->viewport()->update();
}

bool SessionPanel::eventFilter(QObject* watched, QEvent* event)
{
    // The rows get narrower where a scroll bar appears: the axis goes with them. The view lays out
    // its rows after this event.
    if (watched == m_tree->viewport() && event->type() == QEvent::Resize) {
        QMetaObject::invokeMethod(this, &SessionPanel::updateAxis, Qt::QueuedConnection);
    }
    return QWidget::eventFilter(watched, event);
}

void SessionPanel::updateAxis()
{
    // The axis stands right below the last row while there is room for all of them.
    m_tree->setMaximumHeight(m_tree->contentHeight() + 2);
    const auto& session = m_document.session();
    const bool anything = !session.settings.empty()
        && m_delegate->mapping(0, 1).high - m_delegate->mapping(0, 1).low != 1.0;
    if (!anything) {
        m_axis->setMapping(std::nullopt);
        return;
    }
    // As the delegate places it in a row of the first level.
    const int left = m_tree->x() - m_axis->x() + indentation + 2;
    const int right = m_tree->x() - m_axis->x() + m_tree->viewport()->width() - rowMargin;
    m_axis->setMapping(m_delegate->mapping(left, right));
}

std::optional<TreePlace> SessionPanel::place() const { return m_place; }

void SessionPanel::pick(TreePlace place)
{
    const QModelIndex index = m_model->indexOf(place);
    if (index.isValid() && m_tree->currentIndex() != index) {
        m_tree->setCurrentIndex(index);
    }
}

session::SettingId SessionPanel::settingInHand() const
{
    return m_place ? settingOf(m_document.session(), *m_place) : session::SettingId {};
}

session::RunId SessionPanel::runInHand() const
{
    if (m_place && m_place->kind == TreeKind::Run) {
        return {m_place->id};
    }
    return {};
}

void SessionPanel::setClipNotes(std::map<session::ClipId, QString> notes)
{
    m_model->setClipNotes(std::move(notes));
}

void SessionPanel::enableActions()
{
    const bool writable = m_document.isOpen() && !m_document.isReadOnly();
    const bool any = writable && m_place && m_model->indexOf(*m_place).isValid();
    m_actions.front()->setEnabled(writable);
    m_addRun->setEnabled(any && settingInHand());
    m_conditions->setEnabled(any && settingInHand());
    m_rename->setEnabled(any && m_place->kind != TreeKind::Clip);
    m_remove->setEnabled(any);
}

void SessionPanel::onContextMenu(const QPoint& at)
{
    auto* menu = new QMenu(this);
    menu->setAttribute(Qt::WA_DeleteOnClose);
    menu->addAction(tr("Add clips here…"), this, &SessionPanel::addClipsAsked);
    menu->addActions(m_actions);
    if (m_place && m_place->kind != TreeKind::Setting) {
        QMenu* move = menu->addMenu(tr("Move to"));
        fillMoveMenu(move);
    }
    if (m_place && !m_document.isReadOnly() && !m_document.session().rigs.empty()) {
        fillRigMenu(menu->addMenu(tr("Filmed with")));
    }
    menu->popup(m_tree->viewport()->mapToGlobal(at));
}

void SessionPanel::fillRigMenu(QMenu* menu)
{
    const session::Session& session = m_document.session();
    const std::vector<session::ClipId> clips = clipsUnder(session, *m_place);
    const auto add = [&](const QString& name, session::RigId rig) {
        QAction* action = menu->addAction(name, this, [this, clips, rig] {
            m_document.push(session::assignRig(m_document.session(), clips, rig));
        });
        action->setCheckable(true);
        action->setChecked(std::ranges::all_of(
            clips, [&](session::ClipId id) { return session::find(session, id)->rig == rig; }));
        action->setEnabled(!clips.empty());
    };
    for (const session::Rig& rig : session.rigs) {
        add(QString::fromStdString(rig.name), rig.id);
    }
    menu->addSeparator();
    add(tr("No rig named"), {});
}

void SessionPanel::fillMoveMenu(QMenu* menu)
{
    const session::Session& session = m_document.session();
    const TreePlace moved = *m_place;
    for (const session::LinkSetting& setting : session.settings) {
        const QString name = QString::fromStdString(setting.name);
        if (moved.kind == TreeKind::Run) {
            menu->addAction(name, this, [this, moved, id = setting.id] {
                moveTo(moved, {TreeKind::Setting, id.value});
            });
            continue;
        }
        for (const session::Run* run : session::runsOf(session, setting.id)) {
            menu->addAction(name % QStringLiteral(", ") % QString::fromStdString(run->name), this,
                [this, moved, id = run->id] {
                    moveTo(moved, {TreeKind::Run, id.value});
                });
        }
    }
}

void SessionPanel::addSetting()
{
    const auto id = session::newId<session::SettingId>();
    if (m_document.push(session::addSetting(
            m_document.session(), id, freeSettingName(m_document.session(), "link setting")))) {
        pick({TreeKind::Setting, id.value});
        rename();
    }
}

void SessionPanel::addRun()
{
    const auto id = session::newId<session::RunId>();
    const session::SettingId setting = settingInHand();
    if (m_document.push(session::addRun(m_document.session(), id, setting,
            freeRunName(m_document.session(), setting, "run")))) {
        pick({TreeKind::Run, id.value});
    }
}

void SessionPanel::rename()
{
    if (m_tree->currentIndex().isValid()) {
        m_tree->edit(m_tree->currentIndex());
    }
}

void SessionPanel::renameTo(TreePlace place, const QString& name)
{
    m_document.push(renaming(m_document.session(), place, name.toStdString()));
}

void SessionPanel::remove()
{
    if (m_place) {
        m_document.push(removal(m_document.session(), *m_place));
    }
}

void SessionPanel::editConditions() { Q_EMIT conditionsAsked(settingInHand()); }

void SessionPanel::moveTo(TreePlace moved, TreePlace onto)
{
    m_document.push(moving(m_document.session(), moved, onto));
    pick(moved);
}

} // namespace twinlamp::ui
