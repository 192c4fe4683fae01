// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/footage/clips.h"

#include "core/footage/file_hash.h"
#include "tests/support/program.h"

#include <cstdlib>
#include <fstream>
#include <random>
#include <sstream>
#include <stdexcept>

namespace twinlamp::tests {

namespace {

std::vector<std::string> linesOf(const std::string& text)
{
    std::vector<std::string> lines;
    std::istringstream stream(text);
    for (std::string line; std::getline(stream, line);) {
        // ffprobe ends rows with a comma where a frame carries side data.
        while (!line.empty() && (line.back() == ',' || line.back() == '\r')) {
            line.pop_back();
        }
        if (!line.empty()) {
            lines.push_back(line);
        }
    }
    return lines;
}

std::filesystem::path inPath(const std::string& program)
{
    const char* path = std::getenv("PATH");
    std::istringstream folders(path != nullptr ? path : "/usr/bin");
    for (std::string folder; std::getline(folders, folder, ':');) {
        if (std::filesystem::exists(std::filesystem::path(folder) / program)) {
            return std::filesystem::path(folder) / program;
        }
    }
    throw std::runtime_error(program + " is not installed; the tests make their clips with it");
}

std::string outputOf(const std::string& program, const Arguments& arguments)
{
    const ProgramRun run = runProgram(inPath(program), arguments);
    if (run.status != 0) {
        std::string command = program;
        for (const std::string& argument : arguments) {
            command += " " + argument;
        }
        throw std::runtime_error(command + ": " + run.err);
    }
    return run.out;
}

} // namespace

Arguments operator+(Arguments left, const Arguments& right)
{
    left.insert(left.end(), right.begin(), right.end());
    return left;
}

Arguments movingPicture(int frames, const std::string& rate, const std::string& size)
{
    return {"-f", "lavfi", "-i",
        "testsrc2=s=" + size + ":r=" + rate + ",noise=alls=8:allf=t:all_seed=7", "-frames:v",
        std::to_string(frames)};
}

std::filesystem::path makeClip(
    const TemporaryFolder& folder, const std::string& fileName, const Arguments& arguments)
{
    const std::filesystem::path clip = folder.path() / fileName;
    outputOf("ffmpeg",
        Arguments {"-v", "error", "-nostdin", "-y"} + arguments
            + Arguments {"-threads", "1", clip.string()});
    return clip;
}

std::vector<std::string> probe(
    const std::filesystem::path& clip, const std::string& entries, const Arguments& more)
{
    return linesOf(outputOf("ffprobe",
        Arguments {"-v", "error", "-select_streams", "v:0"} + more
            + Arguments {"-show_entries", entries, "-of", "csv=p=0", clip.string()}));
}

std::int64_t countedFrames(const std::filesystem::path& clip)
{
    return std::stoll(probe(clip, "stream=nb_read_frames", {"-count_frames"}).at(0));
}

std::vector<std::int64_t> shownStamps(const std::filesystem::path& clip)
{
    std::vector<std::int64_t> stamps;
    for (const std::string& line : probe(clip, "frame=pts")) {
        stamps.push_back(std::stoll(line));
    }
    return stamps;
}

std::vector<std::string> pictureHashes(const std::filesystem::path& clip, const Arguments& coding)
{
    const std::string out = outputOf("ffmpeg",
        Arguments {"-v", "error", "-nostdin", "-noautorotate", "-i", clip.string(), "-map", "0:v:0",
            "-fps_mode", "passthrough"}
            + coding + Arguments {"-f", "framehash", "-hash", "sha256", "-"});
    std::vector<std::string> hashes;
    for (const std::string& line : linesOf(out)) {
        if (line.front() != '#') {
            hashes.push_back(line.substr(line.rfind(' ') + 1));
        }
    }
    return hashes;
}

std::string hashOf(const footage::PictureView& view)
{
    footage::Sha256 sum;
    const int sampleBytes = view.bitDepth > 8 ? 2 : 1;
    for (const footage::PlaneView& plane : view.planes) {
        for (int y = 0; plane.data != nullptr && y < plane.heightPx; ++y) {
            sum.add({plane.data + y * plane.strideBytes,
                static_cast<std::size_t>(plane.widthPx * sampleBytes)});
        }
    }
    return sum.hex();
}

std::vector<PacketPlace> packetPlaces(const std::filesystem::path& clip)
{
    std::vector<PacketPlace> places;
    for (const std::string& line : probe(clip, "packet=size,pos,flags")) {
        std::istringstream row(line);
        PacketPlace place;
        char comma = 0;
        char flag = 0;
        row >> place.size >> comma >> place.position >> comma >> flag;
        place.keyframe = flag == 'K';
        places.push_back(place);
    }
    return places;
}

void spoil(const std::filesystem::path& clip, std::int64_t first, std::int64_t last, unsigned seed)
{
    std::mt19937 random(seed);
    std::fstream file(clip, std::ios::binary | std::ios::in | std::ios::out);
    file.seekp(first);
    for (std::int64_t i = first; i < last; ++i) {
        file.put(static_cast<char>(random() & 0xFFU));
    }
    if (!file.flush()) {
        throw std::runtime_error("cannot write " + clip.string());
    }
}

std::shared_ptr<const footage::ClipIndex> indexOf(const std::filesystem::path& clip)
{
    auto index = footage::indexClip(clip, {}, {});
    if (!index.hasValue()) {
        throw std::runtime_error(index.isError() ? index.error().detail : "cancelled");
    }
    return std::make_shared<const footage::ClipIndex>(std::move(index).value());
}

} // namespace twinlamp::tests
