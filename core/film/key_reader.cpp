// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/film/key_reader.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <spdlog/fmt/fmt.h>

namespace twinlamp::film {

using nlohmann::json;

namespace {

std::string shown(const json& value)
{
    constexpr std::size_t longest = 40;
    std::string text = value.dump(-1, ' ', false, json::error_handler_t::replace);
    if (text.size() > longest) {
        text = text.substr(0, longest) + "...";
    }
    return text;
}

std::optional<FrameRate> rateFrom(const json& value)
{
    if (value.is_string()) {
        return parseFrameRate(value.get<std::string>());
    }
    if (value.is_number()) {
        return parseFrameRate(fmt::format("{}", value.get<double>()));
    }
    return std::nullopt;
}

} // namespace

void Complaint::add(std::string_view key, std::string_view what)
{
    if (!text) {
        text = fmt::format("{}: {} {}.", fileName, key, what);
    }
}

KeyReader::KeyReader(const json& object, std::string path, Complaint& complaint)
    : m_object(&object)
    , m_path(std::move(path))
    , m_complaint(&complaint)
{
}

std::string KeyReader::fullName(std::string_view key) const
{
    return m_path.empty() ? std::string(key) : fmt::format("{}.{}", m_path, key);
}

void KeyReader::complain(std::string_view key, std::string_view what)
{
    m_complaint->add(fullName(key), what);
}

const json* KeyReader::find(std::string_view key)
{
    m_known.emplace(key);
    m_complaint->asked.insert(fullName(key));
    const auto it = m_object->find(key);
    return it == m_object->end() || it->is_null() ? nullptr : &*it;
}

bool KeyReader::has(std::string_view key) const
{
    const auto it = m_object->find(key);
    return it != m_object->end() && !it->is_null();
}

bool KeyReader::numberIn(std::string_view key, const json& found, Bounds bounds, double& value)
{
    if (!found.is_number()) {
        complain(key, fmt::format("is {}; it must be a number", shown(found)));
        return false;
    }
    const double number = found.get<double>();
    if (!(number >= bounds.low && number <= bounds.high)) {
        complain(key,
            fmt::format("is {}; it must be between {} and {}", number, bounds.low, bounds.high));
        return false;
    }
    value = number;
    return true;
}

void KeyReader::read(std::string_view key, double& value, Bounds bounds)
{
    if (const json* found = find(key)) {
        numberIn(key, *found, bounds, value);
    }
}

void KeyReader::read(std::string_view key, std::optional<double>& value, Bounds bounds)
{
    double number = 0.0;
    if (const json* found = find(key); found != nullptr && numberIn(key, *found, bounds, number)) {
        value = number;
    }
}

void KeyReader::read(std::string_view key, int& value, Bounds bounds)
{
    const json* found = find(key);
    double number = 0.0;
    if (found == nullptr || !numberIn(key, *found, bounds, number)) {
        return;
    }
    if (number != std::floor(number)) {
        complain(key, fmt::format("is {}; it must be a whole number", number));
        return;
    }
    value = static_cast<int>(number);
}

void KeyReader::read(std::string_view key, bool& value)
{
    const json* found = find(key);
    if (found != nullptr && !found->is_boolean()) {
        complain(key, fmt::format("is {}; it must be true or false", shown(*found)));
    } else if (found != nullptr) {
        value = found->get<bool>();
    }
}

void KeyReader::read(std::string_view key, std::string& value)
{
    const json* found = find(key);
    if (found != nullptr && !found->is_string()) {
        complain(key, fmt::format("is {}; it must be a text in quotes", shown(*found)));
    } else if (found != nullptr) {
        value = found->get<std::string>();
    }
}

void KeyReader::read(std::string_view key, std::uint64_t& value)
{
    const json* found = find(key);
    if (found != nullptr && !found->is_number_unsigned()) {
        complain(key, fmt::format("is {}; it must be a whole number from 0", shown(*found)));
    } else if (found != nullptr) {
        value = found->get<std::uint64_t>();
    }
}

void KeyReader::read(std::string_view key, FrameRate& value, Bounds hz)
{
    std::optional<FrameRate> rate;
    read(key, rate, hz);
    value = rate.value_or(value);
}

void KeyReader::read(std::string_view key, std::optional<FrameRate>& value, Bounds hz)
{
    const json* found = find(key);
    if (found == nullptr) {
        return;
    }
    const auto rate = rateFrom(*found);
    if (!rate) {
        complain(key,
            fmt::format("is {}; it must be a rate such as 240 or \"240000/1001\"", shown(*found)));
    } else if (rate->hz() < hz.low || rate->hz() > hz.high) {
        complain(key,
            fmt::format(
                "is {}; it must be between {} and {} per second", toText(*rate), hz.low, hz.high));
    } else {
        value = rate;
    }
}

void KeyReader::read(std::string_view key, RectPx& value)
{
    std::optional<RectPx> rect;
    read(key, rect);
    value = rect.value_or(value);
}

void KeyReader::read(std::string_view key, std::optional<RectPx>& value)
{
    if (!has(key)) {
        find(key);
        return;
    }
    std::vector<double> numbers;
    constexpr double farthestPx = 16384.0;
    read(key, numbers, {-farthestPx, farthestPx});
    const bool whole = std::ranges::all_of(numbers, [](double v) { return v == std::floor(v); });
    if (numbers.size() != 4 || !whole || numbers[2] < 1.0 || numbers[3] < 1.0) {
        complain(key, "must be [x, y, width, height] in whole pixels, width and height above 0");
        return;
    }
    value = RectPx {static_cast<int>(numbers[0]), static_cast<int>(numbers[1]),
        static_cast<int>(numbers[2]), static_cast<int>(numbers[3])};
}

void KeyReader::read(std::string_view key, std::optional<QuadPx>& value)
{
    if (!has(key)) {
        find(key);
        return;
    }
    std::vector<double> numbers;
    constexpr double farthestPx = 16384.0;
    read(key, numbers, {-farthestPx, farthestPx});
    const bool whole = std::ranges::all_of(numbers, [](double v) { return v == std::floor(v); });
    if (numbers.size() != 2 * cornerCount || !whole) {
        complain(key, "must be [x1, y1, x2, y2, x3, y3, x4, y4] in whole pixels");
        return;
    }
    QuadPx quad;
    for (std::size_t i = 0; i < cornerCount; ++i) {
        quad.corners[i] = {static_cast<int>(numbers[2 * i]), static_cast<int>(numbers[2 * i + 1])};
    }
    if (const auto problem = quadProblem(quad)) {
        complain(key, fmt::format("is {}: the corners {}", toText(quad), *problem));
        return;
    }
    value = quad;
}

void KeyReader::read(std::string_view key, Range& value, Bounds bounds)
{
    std::vector<double> ends;
    read(key, ends, bounds);
    if (has(key) && (ends.size() != 2 || ends[0] > ends[1])) {
        complain(key, "must be [shortest, longest], the shortest first");
    } else if (ends.size() == 2) {
        value = {ends[0], ends[1]};
    }
}

void KeyReader::read(std::string_view key, Colour& value)
{
    std::vector<double> parts;
    read(key, parts, {0.0, 1.0});
    if (has(key) && parts.size() != 3) {
        complain(key, "must be [red, green, blue], each from 0 to 1");
    } else if (parts.size() == 3) {
        value = {parts[0], parts[1], parts[2]};
    }
}

void KeyReader::read(std::string_view key, std::vector<double>& value, Bounds bounds)
{
    const json* found = find(key);
    if (found == nullptr) {
        return;
    }
    if (!found->is_array()) {
        complain(key, fmt::format("is {}; it must be a list of numbers", shown(*found)));
        return;
    }
    std::vector<double> numbers(found->size());
    for (std::size_t i = 0; i < numbers.size(); ++i) {
        if (!numberIn(fmt::format("{}[{}]", key, i), (*found)[i], bounds, numbers[i])) {
            return;
        }
    }
    value = std::move(numbers);
}

void KeyReader::read(std::string_view key, std::vector<std::int64_t>& value)
{
    constexpr double farthest = 1e9;
    std::vector<double> numbers;
    read(key, numbers, {-farthest, farthest});
    if (!has(key)) {
        return;
    }
    value.clear();
    for (const double number : numbers) {
        value.push_back(std::llround(number));
    }
}

void KeyReader::read(std::string_view key, Phase& value, Bounds bounds)
{
    const json* found = find(key);
    if (found == nullptr) {
        return;
    }
    if (found->is_string() && found->get<std::string>() == "random") {
        value.ms.reset();
        return;
    }
    double number = 0.0;
    if (!found->is_number()) {
        complain(key, fmt::format("is {}; it must be a number or \"random\"", shown(*found)));
    } else if (numberIn(key, *found, bounds, number)) {
        value.ms = number;
    }
}

void KeyReader::readObject(std::string_view key, std::string& text)
{
    const json* found = find(key);
    if (found != nullptr && !found->is_object()) {
        complain(key, fmt::format("is {}; it must be an object in braces", shown(*found)));
    } else if (found != nullptr) {
        text = found->dump();
    }
}

std::optional<KeyReader> KeyReader::child(std::string_view key)
{
    const json* found = find(key);
    if (found == nullptr) {
        return std::nullopt;
    }
    if (!found->is_object()) {
        complain(key, fmt::format("is {}; it must be an object in braces", shown(*found)));
        return std::nullopt;
    }
    return KeyReader(*found, fullName(key), *m_complaint);
}

std::vector<KeyReader> KeyReader::children(std::string_view key)
{
    const json* found = find(key);
    std::vector<KeyReader> readers;
    if (found == nullptr) {
        return readers;
    }
    const bool objects = found->is_array()
        && std::ranges::all_of(*found, [](const json& entry) { return entry.is_object(); });
    if (!objects) {
        complain(key, "must be a list of objects in braces");
        return readers;
    }
    for (std::size_t i = 0; i < found->size(); ++i) {
        readers.emplace_back((*found)[i], fmt::format("{}[{}]", fullName(key), i), *m_complaint);
    }
    return readers;
}

void KeyReader::refuseUnknownKeys()
{
    for (const auto& [key, value] : m_object->items()) {
        if (!m_known.contains(key)) {
            std::string known;
            for (const std::string& name : m_known) {
                known += (known.empty() ? "" : ", ") + name;
            }
            complain(key, "is not a known key; known here are " + known);
            return;
        }
    }
}

} // namespace twinlamp::film
