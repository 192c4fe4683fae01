// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "ui/models/setting_figures.h"
#include "ui/models/tree_place.h"

#include <QAbstractItemModel>

#include <map>
#include <memory>
#include <optional>
#include <vector>

namespace twinlamp::ui {

/// Link settings, the runs below them and the clips below those, filled from a session. Names can
/// be edited and clips dropped on runs and settings; the model changes nothing itself but asks.
class SessionTreeModel : public QAbstractItemModel
{
    Q_OBJECT

public:
    enum Role
    {
        PlaceRole = Qt::UserRole + 1, ///< TreePlace
        FiguresRole, ///< SettingFigures, settings only
        NoteRole ///< second line of a row
    };

    explicit SessionTreeModel(QObject* parent = nullptr);
    ~SessionTreeModel() override;

    /// Rows as the session has them now. Where no row came, went or moved, only data changes.
    void setSession(const session::Session& session);
    /// Clips that wait, run or need something: their note says so instead of their figures.
    void setClipNotes(std::map<session::ClipId, QString> notes);

    [[nodiscard]] QModelIndex indexOf(TreePlace place) const;
    [[nodiscard]] std::optional<TreePlace> placeAt(const QModelIndex& index) const;

    [[nodiscard]] QModelIndex index(int row, int column, const QModelIndex& parent) const override;
    [[nodiscard]] QModelIndex parent(const QModelIndex& child) const override;
    [[nodiscard]] int rowCount(const QModelIndex& parent) const override;
    [[nodiscard]] int columnCount(const QModelIndex& parent) const override;
    [[nodiscard]] QVariant data(const QModelIndex& index, int role) const override;
    bool setData(const QModelIndex& index, const QVariant& value, int role) override;
    [[nodiscard]] Qt::ItemFlags flags(const QModelIndex& index) const override;
    [[nodiscard]] QStringList mimeTypes() const override;
    [[nodiscard]] QMimeData* mimeData(const QModelIndexList& indexes) const override;
    [[nodiscard]] Qt::DropActions supportedDropActions() const override;
    [[nodiscard]] bool canDropMimeData(const QMimeData* data, Qt::DropAction action, int row,
        int column, const QModelIndex& parent) const override;
    bool dropMimeData(const QMimeData* data, Qt::DropAction action, int row, int column,
        const QModelIndex& parent) override;

Q_SIGNALS:
    void renameAsked(twinlamp::ui::TreePlace place, const QString& name);
    void moveAsked(twinlamp::ui::TreePlace moved, twinlamp::ui::TreePlace onto);
    void filesDropped(const QStringList& files, twinlamp::ui::TreePlace onto);

private:
    struct Node;

    [[nodiscard]] Node* nodeOf(const QModelIndex& index) const;

    std::unique_ptr<Node> m_root;
    std::map<session::ClipId, QString> m_clipNotes;
};

} // namespace twinlamp::ui
