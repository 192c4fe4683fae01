// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/clip_open.h"

#include "core/footage/av_log.h"

#include <array>
#include <cerrno>
#include <fcntl.h>
#include <spdlog/fmt/fmt.h>
#include <spdlog/spdlog.h>
#include <string_view>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>

namespace twinlamp::footage {

namespace {

// Demuxers that read one file and nothing it names. Each name is one of the demuxer's own.
constexpr const char* knownContainers = "mov,matroska,avi,mpegts";
constexpr const char* containersInWords = "MP4, MOV, MKV, WebM, AVI or MPEG-TS";

tl::unexpected<Error> errorOfErrno(const std::filesystem::path& clip, int code)
{
    if (code == ENOENT || code == ENOTDIR) {
        return footageError(
            Cause::NotFound, clip, "was not found; check the name, or whether it was moved.");
    }
    if (code == EACCES || code == EPERM) {
        return footageError(Cause::NoAccess, clip,
            "may not be read; change its permissions or those of its folder.");
    }
    return footageError(Cause::NoAccess, clip,
        fmt::format(
            "could not be read ({}); check the disk.", std::generic_category().message(code)));
}

/// What the file system alone can tell, so that each case gets its own sentence.
Result<void> checkFile(const std::filesystem::path& clip)
{
    struct stat status
    {
    };

    if (::stat(clip.c_str(), &status) != 0) {
        return errorOfErrno(clip, errno);
    }
    if (S_ISDIR(status.st_mode)) {
        return footageError(Cause::NotAVideo, clip, "is a folder; name one clip inside it.");
    }
    if (!S_ISREG(status.st_mode)) {
        return footageError(
            Cause::NotAVideo, clip, "is a device or a pipe; copy the footage to a file first.");
    }
    const int descriptor = ::open(clip.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return errorOfErrno(clip, errno);
    }
    ::close(descriptor);
    if (status.st_size == 0) {
        return footageError(
            Cause::NotAVideo, clip, "is empty (0 bytes); copy it from the camera again.");
    }
    return {};
}

int stopAsked(void* token)
{
    return static_cast<std::stop_token*>(token)->stop_requested() ? 1 : 0;
}

tl::unexpected<Error> openError(const std::filesystem::path& clip, int code, std::string_view found)
{
    if (code == AVERROR(EACCES) || code == AVERROR(ENOENT)) {
        return errorOfErrno(clip, AVUNERROR(code));
    }
    if (found == "mov") {
        return footageError(Cause::Damaged, clip,
            "has no usable table of frames: the recording was cut off or is damaged; copy it "
            "again or repair it with the camera.");
    }
    return footageError(Cause::NotAVideo, clip,
        fmt::format("is no video of a kind that is opened here ({}); convert it to one of these.",
            containersInWords));
}

/// Looks for the atoms that every MP4 or MOV file starts with, to tell a cut-off recording from a
/// file that is something else.
std::string_view guessFamily(const std::filesystem::path& clip)
{
    const int descriptor = ::open(clip.c_str(), O_RDONLY | O_CLOEXEC);
    if (descriptor < 0) {
        return {};
    }
    std::array<char, 12> head {};
    const auto got = ::read(descriptor, head.data(), head.size());
    ::close(descriptor);
    const std::string_view type(head.data() + 4, 4);
    const bool isMov = got == static_cast<ssize_t>(head.size())
        && (type == "ftyp" || type == "moov" || type == "mdat" || type == "wide");
    return isMov ? "mov" : std::string_view {};
}

/// Name of the codec, or the four characters in the file where libav knows no name for them.
std::string codingOf(const AVCodecParameters& parameters)
{
    if (parameters.codec_id != AV_CODEC_ID_NONE) {
        return avcodec_get_name(parameters.codec_id);
    }
    std::array<char, AV_FOURCC_MAX_STRING_SIZE> tag {};
    return av_fourcc_make_string(tag.data(), parameters.codec_tag);
}

Result<void> chooseStream(OpenClip& open, const std::filesystem::path& clip)
{
    AVFormatContext& format = *open.format;
    int chosen = -1;
    std::int64_t largest = -1; // some cameras add a small preview of the same footage
    for (unsigned i = 0; i < format.nb_streams; ++i) {
        const AVStream& stream = *format.streams[i];
        const bool isCover = (stream.disposition & AV_DISPOSITION_ATTACHED_PIC) != 0;
        const std::int64_t area
            = std::int64_t {stream.codecpar->width} * std::int64_t {stream.codecpar->height};
        if (stream.codecpar->codec_type == AVMEDIA_TYPE_VIDEO && !isCover && area > largest) {
            chosen = static_cast<int>(i);
            largest = area;
        }
    }
    if (chosen < 0) {
        return footageError(Cause::NoVideoStream, clip,
            fmt::format(
                "holds no video stream (streams of other kinds: {}); choose the camera's own "
                "file.",
                format.nb_streams));
    }
    for (unsigned i = 0; i < format.nb_streams; ++i) {
        format.streams[i]->discard
            = static_cast<int>(i) == chosen ? AVDISCARD_DEFAULT : AVDISCARD_ALL;
    }
    open.stream = format.streams[chosen];
    const AVCodecParameters& parameters = *open.stream->codecpar;
    open.decoder = avcodec_find_decoder(parameters.codec_id);
    if (open.decoder == nullptr) {
        return footageError(Cause::UnsupportedCodec, clip,
            fmt::format("is coded as '{}', for which no decoder is installed; convert it, for "
                        "example to H.264.",
                codingOf(parameters)));
    }
    return {};
}

} // namespace

std::string nameOf(const std::filesystem::path& clip)
{
    const std::string name = clip.filename().string();
    return name.empty() ? clip.string() : name;
}

tl::unexpected<Error> footageError(
    Cause cause, const std::filesystem::path& clip, const std::string& detail)
{
    return fail(Stage::Footage, cause, fmt::format("{} {}", nameOf(clip), detail));
}

bool seeksByBytes(const AVFormatContext& format)
{
    return std::string_view(format.iformat->name) == "mpegts";
}

Result<OpenClip> openClip(
    const std::filesystem::path& clip, Probe probe, const std::stop_token& stop)
{
    redirectAvLog();
    if (auto file = checkFile(clip); !file) {
        return tl::unexpected(std::move(file.error()));
    }
    OpenClip open;
    open.stop = std::make_unique<std::stop_token>(stop);
    AVFormatContext* format = avformat_alloc_context();
    if (format == nullptr) {
        return footageError(Cause::Internal, clip, "could not be opened: out of memory.");
    }
    format->interrupt_callback = {stopAsked, open.stop.get()};
    AVDictionary* options = nullptr;
    av_dict_set(&options, "protocol_whitelist", "file", 0);
    av_dict_set(&options, "format_whitelist", knownContainers, 0);
    // The prefix keeps a name with a colon from being read as a protocol of its own.
    const std::string url = "file:" + clip.string();
    const int opened = avformat_open_input(&format, url.c_str(), nullptr, &options);
    av_dict_free(&options);
    if (opened < 0) { // the context is freed by the failed call
        spdlog::info("{}: open failed: {}", nameOf(clip), avErrorText(opened));
        return openError(clip, opened, guessFamily(clip));
    }
    open.format.reset(format);
    const std::string_view container = format->iformat->name;
    const bool headerTells = container.starts_with("mov") || container.starts_with("matroska");
    if (probe == Probe::Full || !headerTells) {
        if (const int found = avformat_find_stream_info(format, nullptr); found < 0) {
            return footageError(Cause::Damaged, clip,
                fmt::format("could not be understood ({}); copy it again.", avErrorText(found)));
        }
    }
    if (auto chosen = chooseStream(open, clip); !chosen) {
        return tl::unexpected(std::move(chosen.error()));
    }
    return open;
}

} // namespace twinlamp::footage
