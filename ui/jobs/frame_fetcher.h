// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/footage/frame_index.h"

#include <QImage>
#include <QObject>

#include <memory>
#include <thread>
#include <vector>

namespace twinlamp::ui {

/// One close-up: a part of one frame.
struct CropWish
{
    FrameIndex frame;
    RectPx part; ///< upright pixels
    bool operator==(const CropWish&) const = default;
};

/// Fetches pictures of one clip on a thread of its own, which alone owns the decoder.
///
/// Whole pictures go before close-ups, and of each only the newest wish counts: what was asked for
/// before and not yet begun is dropped. Answers come by signal, on this object's thread.
class FrameFetcher : public QObject
{
    Q_OBJECT

public:
    explicit FrameFetcher(QObject* parent = nullptr);
    ~FrameFetcher() override;

    /// From now on wishes mean this clip; null closes. Answers about an earlier clip are dropped.
    void open(std::shared_ptr<const footage::ClipIndex> index);
    void show(FrameIndex frame);
    /// Replaces all close-ups that were wished for before.
    void crop(std::vector<CropWish> wishes);

Q_SIGNALS:
    void frameReady(twinlamp::FrameIndex frame, const QImage& picture);
    /// The frame cannot be shown; `reason` is one sentence.
    void frameFailed(twinlamp::FrameIndex frame, const QString& reason);
    void cropReady(const twinlamp::ui::CropWish& wish, const QImage& picture);

private:
    struct Shared;
    class Worker;

    std::shared_ptr<Shared> m_shared;
    quint64 m_clip = 0;
    std::jthread m_thread;
};

} // namespace twinlamp::ui
