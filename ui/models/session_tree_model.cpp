// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/models/session_tree_model.h"

#include "ui/widgets/figures.h"

#include <QCoreApplication>
#include <QMimeData>
#include <QUrl>

#include <algorithm>
#include <filesystem>

namespace twinlamp::ui {

namespace {

const QString placeFormat = QStringLiteral("application/x-twinlamp-place");

QString clipName(const session::Clip& clip)
{
    const std::string& path
        = clip.file.relativePath.empty() ? clip.file.absolutePath : clip.file.relativePath;
    return QString::fromStdString(std::filesystem::path(path).filename().string());
}

QString clipNote(const session::Clip& clip)
{
    if (!clip.measurement) {
        return QCoreApplication::translate("SessionTree", "not measured");
    }
    const auto count = static_cast<std::int64_t>(clip.measurement->presses.size());
    return count == 0 ? QCoreApplication::translate("SessionTree", "no press found")
                      : countText(count, QCoreApplication::translate("SessionTree", "%1 edge"),
                          QCoreApplication::translate("SessionTree", "%1 edges"));
}

} // namespace

struct SessionTreeModel::Node
{
    TreePlace place;
    QString name;
    QString note;
    std::optional<SettingFigures> figures;
    Node* parent = nullptr;
    int row = 0;
    std::vector<std::unique_ptr<Node>> children;

    Node& add(TreePlace childPlace, QString childName, QString childNote)
    {
        auto child = std::make_unique<Node>();
        child->place = childPlace;
        child->name = std::move(childName);
        child->note = std::move(childNote);
        child->parent = this;
        child->row = static_cast<int>(children.size());
        children.push_back(std::move(child));
        return *children.back();
    }

    /// Whether both trees have the same rows in the same order.
    [[nodiscard]] bool sameShape(const Node& other) const
    {
        return place == other.place
            && std::ranges::equal(children, other.children,
                [](const auto& a, const auto& b) { return a->sameShape(*b); });
    }

    /// Takes over what the rows of a tree of the same shape say.
    void takeContent(Node& other)
    {
        name = std::move(other.name);
        note = std::move(other.note);
        figures = std::move(other.figures);
        for (std::size_t i = 0; i < children.size(); ++i) {
            children[i]->takeContent(*other.children[i]);
        }
    }

    [[nodiscard]] const Node* find(TreePlace wanted) const
    {
        if (parent != nullptr && place == wanted) {
            return this;
        }
        for (const auto& child : children) {
            if (const Node* found = child->find(wanted)) {
                return found;
            }
        }
        return nullptr;
    }

    static std::unique_ptr<Node> treeOf(const session::Session& session)
    {
        auto root = std::make_unique<Node>();
        const auto figures = settingFigures(session);
        for (std::size_t i = 0; i < session.settings.size(); ++i) {
            const session::LinkSetting& setting = session.settings[i];
            Node& settingNode = root->add({TreeKind::Setting, setting.id.value},
                QString::fromStdString(setting.name), conditionsText(setting.conditions));
            settingNode.figures = figures[i];
            for (const session::Run* run : session::runsOf(session, setting.id)) {
                Node& runNode = settingNode.add(
                    {TreeKind::Run, run->id.value}, QString::fromStdString(run->name), {});
                for (const session::Clip* clip : session::clipsOf(session, run->id)) {
                    runNode.add({TreeKind::Clip, clip->id.value}, clipName(*clip), clipNote(*clip));
                }
            }
        }
        return root;
    }
};

SessionTreeModel::SessionTreeModel(QObject* parent)
    : QAbstractItemModel(parent)
    , m_root(std::make_unique<Node>())
{
}

SessionTreeModel::~SessionTreeModel() = default;

void SessionTreeModel::setSession(const session::Session& session)
{
    auto tree = Node::treeOf(session);
    if (!m_root->sameShape(*tree)) {
        beginResetModel();
        m_root = std::move(tree);
        endResetModel();
        return;
    }
    m_root->takeContent(*tree);
    // One signal for each level that has rows: views repaint, selections and folds stay.
    const auto tell = [this](const auto& self, const Node& node) -> void {
        if (node.children.empty()) {
            return;
        }
        Q_EMIT dataChanged(createIndex(0, 0, node.children.front().get()),
            createIndex(static_cast<int>(node.children.size()) - 1, 0, node.children.back().get()));
        for (const auto& child : node.children) {
            self(self, *child);
        }
    };
    tell(tell, *m_root);
}

void SessionTreeModel::setClipNotes(std::map<session::ClipId, QString> notes)
{
    const std::map<session::ClipId, QString> before = std::exchange(m_clipNotes, std::move(notes));
    const auto tell = [this](session::ClipId clip) {
        const QModelIndex index = indexOf({TreeKind::Clip, clip.value});
        if (index.isValid()) {
            Q_EMIT dataChanged(index, index);
        }
    };
    for (const auto& [clip, note] : before) {
        if (!m_clipNotes.contains(clip)) {
            tell(clip);
        }
    }
    for (const auto& [clip, note] : m_clipNotes) {
        const auto old = before.find(clip);
        if (old == before.end() || old->second != note) {
            tell(clip);
        }
    }
}

SessionTreeModel::Node* SessionTreeModel::nodeOf(const QModelIndex& index) const
{
    return index.isValid() ? static_cast<Node*>(index.internalPointer()) : m_root.get();
}

QModelIndex SessionTreeModel::indexOf(TreePlace place) const
{
    const Node* node = m_root->find(place);
    return node != nullptr ? createIndex(node->row, 0, node) : QModelIndex();
}

std::optional<TreePlace> SessionTreeModel::placeAt(const QModelIndex& index) const
{
    return index.isValid() ? std::optional(nodeOf(index)->place) : std::nullopt;
}

QModelIndex SessionTreeModel::index(int row, int column, const QModelIndex& parent) const
{
    const Node* node = nodeOf(parent);
    if (column != 0 || row < 0 || row >= static_cast<int>(node->children.size())) {
        return {};
    }
    return createIndex(row, 0, node->children[static_cast<std::size_t>(row)].get());
}

QModelIndex SessionTreeModel::parent(const QModelIndex& child) const
{
    Node* above = child.isValid() ? nodeOf(child)->parent : nullptr;
    return above == nullptr || above == m_root.get() ? QModelIndex()
                                                     : createIndex(above->row, 0, above);
}

int SessionTreeModel::rowCount(const QModelIndex& parent) const
{
    return static_cast<int>(nodeOf(parent)->children.size());
}

int SessionTreeModel::columnCount(const QModelIndex& /*parent*/) const { return 1; }

QVariant SessionTreeModel::data(const QModelIndex& index, int role) const
{
    if (!index.isValid()) {
        return {};
    }
    const Node& node = *nodeOf(index);
    switch (role) {
    case Qt::DisplayRole:
    case Qt::EditRole:
        return node.name;
    case Qt::ToolTipRole:
        return node.note.isEmpty() ? node.name : QString(node.name % QLatin1Char('\n') % node.note);
    case PlaceRole:
        return QVariant::fromValue(node.place);
    case FiguresRole:
        return node.figures ? QVariant::fromValue(*node.figures) : QVariant();
    case NoteRole: {
        const auto note = m_clipNotes.find({node.place.id});
        return node.place.kind == TreeKind::Clip && note != m_clipNotes.end() ? note->second
                                                                              : node.note;
    }
    default:
        return {};
    }
}

bool SessionTreeModel::setData(const QModelIndex& index, const QVariant& value, int role)
{
    if (!index.isValid() || role != Qt::EditRole) {
        return false;
    }
    const QString name = value.toString().trimmed();
    if (name != nodeOf(index)->name) {
        Q_EMIT renameAsked(nodeOf(index)->place, name);
    }
    return true;
}

Qt::ItemFlags SessionTreeModel::flags(const QModelIndex& index) const
{
    if (!index.isValid()) {
        return Qt::ItemIsDropEnabled;
    }
    const TreeKind kind = nodeOf(index)->place.kind;
    Qt::ItemFlags flags = Qt::ItemIsEnabled | Qt::ItemIsSelectable;
    if (kind != TreeKind::Clip) {
        flags |= Qt::ItemIsEditable | Qt::ItemIsDropEnabled;
    } else {
        flags |= Qt::ItemNeverHasChildren;
    }
    return flags | Qt::ItemIsDragEnabled;
}

QStringList SessionTreeModel::mimeTypes() const
{
    return {placeFormat, QStringLiteral("text/uri-list")};
}

QMimeData* SessionTreeModel::mimeData(const QModelIndexList& indexes) const
{
    auto* data = new QMimeData;
    if (!indexes.isEmpty()) {
        const TreePlace place = nodeOf(indexes.front())->place;
        data->setData(placeFormat,
            QByteArray::number(static_cast<int>(place.kind)) + ' ' + QByteArray::number(place.id));
    }
    return data;
}

Qt::DropActions SessionTreeModel::supportedDropActions() const
{
    return Qt::CopyAction | Qt::MoveAction;
}

bool SessionTreeModel::canDropMimeData(const QMimeData* data, Qt::DropAction /*action*/,
    int /*row*/, int /*column*/, const QModelIndex& parent) const
{
    if (data->hasUrls()) {
        return true;
    }
    return data->hasFormat(placeFormat) && parent.isValid();
}

bool SessionTreeModel::dropMimeData(const QMimeData* data, Qt::DropAction /*action*/, int /*row*/,
    int /*column*/, const QModelIndex& parent)
{
    const TreePlace onto = parent.isValid() ? nodeOf(parent)->place : TreePlace {};
    if (data->hasUrls()) {
        QStringList files;
        for (const QUrl& url : data->urls()) {
            if (url.isLocalFile()) {
                files << url.toLocalFile();
            }
        }
        Q_EMIT filesDropped(files, onto);
        return true;
    }
    const QList<QByteArray> words = data->data(placeFormat).split(' ');
    if (words.size() == 2 && parent.isValid()) {
        Q_EMIT moveAsked({static_cast<TreeKind>(words[0].toInt()), words[1].toLongLong()}, onto);
    }
    // The move is an edit of the session; the view must not remove the row by itself.
    return false;
}

} // namespace twinlamp::ui
