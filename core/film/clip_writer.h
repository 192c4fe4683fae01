// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/film/frame_renderer.h"
#include "core/film/scene.h"
#include "core/footage/picture.h"

#include <filesystem>
#include <memory>

namespace twinlamp::film {

/// Encodes pictures into a clip. Repeatable: one encoder thread, no clock, no version text in the
/// file.
class ClipWriter
{
public:
    /// The container follows from the ending of `clip`: mp4, mov, mkv, avi, webm or ts.
    /// @param file  written to; its own ending does not matter
    /// @param clip  the clip's place in the end; messages name it
    /// @error Film/InvalidValue  no such container, or one that cannot hold what the scene asks for
    /// @error Film/WriteFailed
    [[nodiscard]] static Result<ClipWriter> open(const std::filesystem::path& file,
        const std::filesystem::path& clip, const Scene& scene,
        const footage::Orientation& orientation);

    ClipWriter(ClipWriter&&) noexcept;
    ClipWriter& operator=(ClipWriter&&) noexcept;
    ~ClipWriter();

    /// @param frame  camera frame number: 0 is the first shown one, missing numbers leave a gap
    /// @error Film/WriteFailed
    [[nodiscard]] Result<void> write(std::int64_t frame, const CodedPicture& picture);
    /// Writes what the encoder still holds and the container's end.
    /// @error Film/WriteFailed
    [[nodiscard]] Result<void> finish();

private:
    struct State;
    explicit ClipWriter(std::unique_ptr<State> state);
    std::unique_ptr<State> m_state;
};

} // namespace twinlamp::film
