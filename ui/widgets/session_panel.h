// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/session_tree_model.h"

#include <QWidget>

#include <map>
#include <optional>
#include <set>

class QAction;
class QLabel;
class QMenu;

namespace twinlamp::ui {

class LatencyAxis;
class SessionTree;
class SessionDocument;
class SettingDelegate;

/// The session at a glance: link settings with their histograms on one axis, runs and clips below
/// them. Every change goes to the document as an edit.
class SessionPanel : public QWidget
{
    Q_OBJECT

public:
    explicit SessionPanel(SessionDocument& document, QWidget* parent = nullptr);

    /// The row in hand; told by `placePicked`, set with `pick`.
    [[nodiscard]] std::optional<TreePlace> place() const;
    void pick(TreePlace place);
    /// Setting of the row in hand; 0 where there is none.
    [[nodiscard]] session::SettingId settingInHand() const;
    /// Run of the row in hand; 0 where a setting or nothing is.
    [[nodiscard]] session::RunId runInHand() const;
    void setClipNotes(std::map<session::ClipId, QString> notes);

    [[nodiscard]] SessionTreeModel& model() { return *m_model; }

    /// Actions for the window's menu.
    [[nodiscard]] QList<QAction*> menuActions() const { return m_actions; }

Q_SIGNALS:
    void placePicked(twinlamp::ui::TreePlace place);
    void addClipsAsked();
    void filesDropped(const QStringList& files);
    void conditionsAsked(twinlamp::session::SettingId setting);

protected:
    bool eventFilter(QObject* watched, QEvent* event) override;

private:
    QAction* addAction(const QString& icon, const QString& text, const QKeySequence& key,
        void (SessionPanel::*act)());
    void buildTree();
    void wire();
    void onSessionChanged();
    void onContextMenu(const QPoint& at);
    void fillMoveMenu(QMenu* menu);
    void fillRigMenu(QMenu* menu);
    void addSetting();
    void addRun();
    void rename();
    void remove();
    void editConditions();
    void renameTo(TreePlace place, const QString& name);
    void moveTo(TreePlace moved, TreePlace onto);
    void enableActions();
    void updateAxis();

    SessionDocument& m_document;
    SessionTreeModel* m_model = nullptr;
    SettingDelegate* m_delegate = nullptr;
    SessionTree* m_tree = nullptr;
    LatencyAxis* m_axis = nullptr;
    QLabel* m_empty = nullptr;
    QList<QAction*> m_actions;
    QAction* m_addRun = nullptr;
    QAction* m_rename = nullptr;
    QAction* m_remove = nullptr;
    QAction* m_conditions = nullptr;
    std::optional<TreePlace> m_place;
    std::set<TreePlace> m_open; ///< rows that are folded out
};

} // namespace twinlamp::ui
