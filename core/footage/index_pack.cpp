// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/footage/file_hash.h"
#include "core/footage/index_cache.h"

#include <algorithm>
#include <nlohmann/json.hpp>

namespace twinlamp::footage {

namespace {

using Json = nlohmann::json;
constexpr std::size_t sumBytes = 64; // SHA-256 in hex

/// One column of the entries, each value as its difference to the one before: mostly small.
template<typename Read> Json column(const ClipIndex& index, Read read)
{
    Json values = Json::array();
    std::int64_t before = 0;
    for (const FrameEntry& entry : index.entries) {
        const std::int64_t value = read(entry);
        values.push_back(value - before);
        before = value;
    }
    return values;
}

template<typename Write> void fillColumn(ClipIndex& index, const Json& values, Write write)
{
    std::int64_t value = 0;
    for (std::size_t k = 0; k < index.entries.size(); ++k) {
        value += values.at(k).get<std::int64_t>();
        write(index.entries[k], value);
    }
}

Json packInfo(const ClipInfo& info)
{
    Json json {{"container", info.container}, {"codec", info.codec},
        {"rotation", info.orientation.rotationDeg}, {"width", info.orientation.storedWidthPx},
        {"height", info.orientation.storedHeightPx}, {"depth", info.bitDepth},
        {"matrix", info.colour.matrix}, {"transfer", info.colour.transfer},
        {"primaries", info.colour.primaries}, {"full", info.colour.fullRange},
        {"base", {info.timeBaseNum, info.timeBaseDen}}, {"size", info.sizeBytes},
        {"modified", info.modifiedNs}};
    if (info.taggedCaptureRate) {
        json["rate"] = {info.taggedCaptureRate->num, info.taggedCaptureRate->den};
    }
    if (info.taggedReadOutUs) {
        json["readout"] = *info.taggedReadOutUs;
    }
    return json;
}

ClipInfo unpackInfo(const Json& json)
{
    ClipInfo info;
    info.container = json.at("container");
    info.codec = json.at("codec");
    info.orientation = {json.at("rotation"), json.at("width"), json.at("height")};
    info.bitDepth = json.at("depth");
    info.colour = {json.at("matrix"), json.at("transfer"), json.at("primaries"), json.at("full")};
    info.timeBaseNum = json.at("base").at(0);
    info.timeBaseDen = json.at("base").at(1);
    info.sizeBytes = json.at("size");
    info.modifiedNs = json.at("modified");
    if (json.contains("rate")) {
        info.taggedCaptureRate = FrameRate {json.at("rate").at(0), json.at("rate").at(1)};
    }
    if (json.contains("readout")) {
        info.taggedReadOutUs = json.at("readout").get<double>();
    }
    return info;
}

ClipIndex unpack(const Json& json)
{
    ClipIndex index;
    index.info = unpackInfo(json.at("info"));
    index.matchByPosition = json.at("byPosition");
    index.entries.resize(json.at("pts").size());
    fillColumn(index, json.at("pts"), [](FrameEntry& e, std::int64_t v) { e.ptsTicks = v; });
    fillColumn(index, json.at("pos"), [](FrameEntry& e, std::int64_t v) { e.positionBytes = v; });
    fillColumn(index, json.at("order"),
        [](FrameEntry& e, std::int64_t v) { e.decodeOrder = static_cast<std::int32_t>(v); });
    fillColumn(index, json.at("key"), [](FrameEntry& e, std::int64_t v) { e.keyframe = v != 0; });
    for (const Json& k : json.at("starts")) {
        index.keyframes.push_back({k.get<std::int64_t>()});
    }
    for (const Json& note : json.at("notes")) {
        index.notes.push_back({note.at("id"), note.at("values")});
    }
    return index;
}

} // namespace

std::vector<std::uint8_t> packIndex(const ClipIndex& index)
{
    Json json {{"info", packInfo(index.info)}, {"byPosition", index.matchByPosition}};
    json["pts"] = column(index, [](const FrameEntry& e) { return e.ptsTicks; });
    json["pos"] = column(index, [](const FrameEntry& e) { return e.positionBytes; });
    json["order"] = column(index, [](const FrameEntry& e) { return std::int64_t {e.decodeOrder}; });
    json["key"] = column(index, [](const FrameEntry& e) { return e.keyframe ? 1 : 0; });
    json["starts"] = Json::array();
    for (const FrameIndex k : index.keyframes) {
        json["starts"].push_back(k.value);
    }
    json["notes"] = Json::array();
    for (const Sentence& note : index.notes) {
        json["notes"].push_back({{"id", note.id}, {"values", note.values}});
    }
    std::vector<std::uint8_t> bytes = Json::to_cbor(json);
    const std::string sum = sha256Of(bytes);
    bytes.insert(bytes.end(), sum.begin(), sum.end());
    return bytes;
}

std::optional<ClipIndex> unpackIndex(const std::vector<std::uint8_t>& bytes)
{
    if (bytes.size() <= sumBytes) {
        return std::nullopt;
    }
    const std::span content(bytes.data(), bytes.size() - sumBytes);
    const std::string sum = sha256Of(content);
    if (!std::equal(sum.begin(), sum.end(), bytes.end() - sumBytes, bytes.end())) {
        return std::nullopt;
    }
    // The sum tells damage; an exception here means another program wrote the file.
    try {
        return unpack(Json::from_cbor(content.begin(), content.end()));
    } catch (const Json::exception&) {
        return std::nullopt;
    }
}

} // namespace twinlamp::footage
