// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/scene.h"
#include "core/film/scene_reader.h"

#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::film {

using nlohmann::json;

namespace {

constexpr int deepestBase = 8;

Result<json> jsonObject(std::string_view text, std::string_view fileName)
{
    json object = json::parse(text, nullptr, false, true);
    if (object.is_discarded() || !object.is_object()) {
        return fail(Stage::Film, Cause::InvalidValue,
            fmt::format("{}: this is no JSON object. Check its commas and braces; a scene looks "
                        "like {{ \"seed\": 1, \"camera\": {{ \"capture_rate\": 480 }} }}.",
                fileName));
    }
    return object;
}

Result<json> withBases(json object, const std::filesystem::path& file, int depth);

Result<json> jsonWithBases(const std::filesystem::path& file, int depth)
{
    std::ifstream stream(file, std::ios::binary);
    if (!stream) {
        const bool there = std::filesystem::exists(file);
        return fail(Stage::Film, there ? Cause::NoAccess : Cause::NotFound,
            fmt::format("{}: the scene {}.", file.string(),
                there ? "cannot be read. Check its access rights"
                      : "is not there. Check the name"));
    }
    const std::string text(std::istreambuf_iterator<char>(stream), {});
    auto object = jsonObject(text, file.string());
    return object ? withBases(std::move(*object), file, depth) : object;
}

Result<json> withBases(json object, const std::filesystem::path& file, int depth)
{
    const auto base = object.find("base");
    if (base == object.end()) {
        return object;
    }
    if (!base->is_string() || depth >= deepestBase) {
        return fail(Stage::Film, Cause::InvalidValue,
            fmt::format("{}: base must be the name of a scene file beside it, at most {} deep.",
                file.string(), deepestBase));
    }
    auto merged = jsonWithBases(file.parent_path() / base->get<std::string>(), depth + 1);
    if (!merged) {
        return merged;
    }
    object.erase("base");
    merged->merge_patch(object);
    return merged;
}

} // namespace

Result<Scene> parseScene(std::string_view text, std::string_view fileName)
{
    auto object = jsonObject(text, fileName);
    if (object) {
        object = withBases(std::move(*object), std::filesystem::path(fileName), 0);
    }
    if (!object) {
        return tl::unexpected(object.error());
    }
    return sceneFromJson(*object, fileName);
}

Result<Scene> loadScene(const std::filesystem::path& file, std::string_view changes)
{
    auto object = jsonWithBases(file, 0);
    if (object && !changes.empty()) {
        const auto patch = jsonObject(changes, file.string());
        if (!patch) {
            return tl::unexpected(patch.error());
        }
        object->merge_patch(*patch);
    }
    if (!object) {
        return tl::unexpected(object.error());
    }
    return sceneFromJson(*object, file.string());
}

} // namespace twinlamp::film
