// SPDX-License-Identifier: GPL-3.0-or-later
#include "ui/jobs/frame_fetcher.h"

#include "core/footage/frame_source.h"

#include <condition_variable>
#include <deque>
#include <memory>
#include <mutex>
#include <optional>
#include <vector>

namespace twinlamp::ui {

namespace {

/// Memory of pictures that nobody looks at any more, for those to come.
class PictureMemory
{
public:
    [[nodiscard]] std::vector<std::uint8_t> take()
    {
        const std::scoped_lock lock(m_mutex);
        if (m_free.empty()) {
            return {};
        }
        auto memory = std::move(m_free.back());
        m_free.pop_back();
        return memory;
    }

    void giveBack(std::vector<std::uint8_t>&& memory)
    {
        // One in view, one on its way to it.
        constexpr std::size_t most = 3;
        const std::scoped_lock lock(m_mutex);
        if (m_free.size() < most) {
            m_free.push_back(std::move(memory));
        }
    }

private:
    std::mutex m_mutex;
    std::vector<std::vector<std::uint8_t>> m_free;
};

/// @param memory  gets the picture's memory back; none: it is freed
QImage imageOf(footage::RgbPicture picture, std::shared_ptr<PictureMemory> memory)
{
    struct Kept
    {
        std::vector<std::uint8_t> bgrx;
        std::shared_ptr<PictureMemory> memory;
    };

    auto* kept = new Kept {std::move(picture.bgrx), std::move(memory)};
    return {kept->bgrx.data(), picture.widthPx, picture.heightPx,
        static_cast<qsizetype>(picture.widthPx) * 4, QImage::Format_RGB32,
        [](void* owner) {
            const std::unique_ptr<Kept> released(static_cast<Kept*>(owner));
            if (released->memory) {
                released->memory->giveBack(std::move(released->bgrx));
            }
        },
        kept};
}

} // namespace

struct FrameFetcher::Shared
{
    std::mutex mutex;
    std::condition_variable_any changed;
    std::shared_ptr<const footage::ClipIndex> index;
    quint64 clip = 0;
    std::optional<FrameIndex> wanted;
    std::deque<CropWish> crops;
};

/// What runs on the thread: takes the next wish, fetches, answers.
class FrameFetcher::Worker
{
public:
    Worker(std::shared_ptr<Shared> shared, FrameFetcher* owner)
        : m_shared(std::move(shared))
        , m_owner(owner)
    {
    }

    void run(const std::stop_token& stop)
    {
        while (const auto wish = next(stop)) {
            serve(*wish);
            readAhead(stop);
        }
    }

private:
    struct Wish
    {
        quint64 clip = 0;
        std::shared_ptr<const footage::ClipIndex> index;
        std::optional<FrameIndex> frame;
        std::optional<CropWish> crop;
    };

    std::optional<Wish> next(const std::stop_token& stop)
    {
        std::unique_lock lock(m_shared->mutex);
        const bool there = m_shared->changed.wait(lock, stop,
            [this] { return m_shared->wanted.has_value() || !m_shared->crops.empty(); });
        if (!there || stop.stop_requested()) {
            return std::nullopt;
        }
        Wish wish {m_shared->clip, m_shared->index, std::nullopt, std::nullopt};
        if (m_shared->wanted) {
            wish.frame = std::exchange(m_shared->wanted, std::nullopt);
        } else {
            wish.crop = m_shared->crops.front();
            m_shared->crops.pop_front();
        }
        return wish;
    }

    [[nodiscard]] bool isWanted() const
    {
        const std::scoped_lock lock(m_shared->mutex);
        return m_shared->wanted.has_value() || !m_shared->crops.empty()
            || m_shared->clip != m_sourceClip;
    }

    /// Frame by frame, so that a wish waits for one at most.
    void readAhead(const std::stop_token& stop)
    {
        while (m_source && !stop.stop_requested() && !isWanted() && m_source->readAhead()) { }
    }

    void serve(const Wish& wish)
    {
        const FrameIndex number = wish.frame ? *wish.frame : wish.crop->frame;
        const auto frame = fetch(wish);
        if (!frame) {
            if (wish.frame) {
                answer(wish.clip,
                    [number, reason = QString::fromStdString(frame.error().detail)](
                        FrameFetcher* to) { Q_EMIT to->frameFailed(number, reason); });
            }
            return;
        }
        const footage::Orientation& turn = wish.index->info.orientation;
        if (wish.frame) {
            const RectPx whole {0, 0, turn.uprightWidthPx(), turn.uprightHeightPx()};
            answer(wish.clip,
                [number,
                    picture = imageOf(footage::toRgb(*frame, turn, whole, m_memory->take()),
                        m_memory)](FrameFetcher* to) { Q_EMIT to->frameReady(number, picture); });
        } else {
            answer(wish.clip,
                [crop = *wish.crop,
                    picture = imageOf(footage::toRgb(*frame, turn, wish.crop->part), nullptr)](
                    FrameFetcher* to) { Q_EMIT to->cropReady(crop, picture); });
        }
    }

    Result<footage::Frame> fetch(const Wish& wish)
    {
        if (!wish.index) {
            return fail(Stage::Footage, Cause::NotFound, "No clip is open.");
        }
        if (!m_source || m_sourceClip != wish.clip) {
            constexpr int threads = 2; // half as fast again as one: a held key goes on over GOPs
            if (auto opened = open(wish, threads); !opened) {
                return tl::unexpected(opened.error());
            }
        }
        auto frame = get(wish);
        if (frame || frame.error().why != Cause::Damaged || m_threads == 1) {
            return frame;
        }
        // Threads cannot lay damage to one packet, so they leave out more than is damaged.
        if (auto opened = open(wish, 1); !opened) {
            return tl::unexpected(opened.error());
        }
        return get(wish);
    }

    Result<footage::Frame> get(const Wish& wish)
    {
        return wish.frame ? m_source->frame(*wish.frame) : m_source->frameAside(wish.crop->frame);
    }

    Result<void> open(const Wish& wish, int threads)
    {
        m_source.reset();
        footage::FrameSource::Options options;
        options.decoderThreads = threads;
        auto opened = footage::FrameSource::open(wish.index, options);
        if (!opened) {
            return tl::unexpected(opened.error());
        }
        m_source.emplace(std::move(*opened));
        m_sourceClip = wish.clip;
        m_threads = threads;
        return {};
    }

    template<typename Fn> void answer(quint64 clip, Fn&& emitOn)
    {
        // The owner joins this thread before it dies, so the pointer holds; the call itself lands
        // on the owner's thread and is discarded with it.
        QMetaObject::invokeMethod(
            m_owner,
            [owner = m_owner, clip, emitOn = std::forward<Fn>(emitOn)] {
                if (clip == owner->m_clip) {
                    emitOn(owner);
                }
            },
            Qt::QueuedConnection);
    }

    std::shared_ptr<Shared> m_shared;
    FrameFetcher* m_owner;
    std::optional<footage::FrameSource> m_source;
    std::shared_ptr<PictureMemory> m_memory = std::make_shared<PictureMemory>();
    quint64 m_sourceClip = 0;
    int m_threads = 0; ///< of the source's decoder
};

FrameFetcher::FrameFetcher(QObject* parent)
    : QObject(parent)
    , m_shared(std::make_shared<Shared>())
    , m_thread([worker = std::make_shared<Worker>(m_shared, this)](
                   const std::stop_token& stop) { worker->run(stop); })
{
}

FrameFetcher::~FrameFetcher() = default;

void FrameFetcher::open(std::shared_ptr<const footage::ClipIndex> index)
{
    ++m_clip;
    const std::scoped_lock lock(m_shared->mutex);
    m_shared->index = std::move(index);
    m_shared->clip = m_clip;
    m_shared->wanted.reset();
    m_shared->crops.clear();
}

void FrameFetcher::show(FrameIndex frame)
{
    {
        const std::scoped_lock lock(m_shared->mutex);
        m_shared->wanted = frame;
    }
    m_shared->changed.notify_one();
}

void FrameFetcher::crop(std::vector<CropWish> wishes)
{
    {
        const std::scoped_lock lock(m_shared->mutex);
        m_shared->crops.assign(wishes.begin(), wishes.end());
    }
    m_shared->changed.notify_one();
}

} // namespace twinlamp::ui
