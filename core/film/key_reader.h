// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/base/result.h"
#include "core/base/units.h"
#include "core/film/scene.h"

#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace twinlamp::film {

/// Bounds of a number, both ends allowed.
struct Bounds
{
    double low;
    double high;
};

/// The first complaint about a scene; all readers of one scene share it.
struct Complaint
{
    std::string fileName;
    std::optional<std::string> text;
    std::set<std::string> asked {}; ///< full names of all keys that were looked for

    /// Keeps the first one only.
    void add(std::string_view key, std::string_view what);
};

/// A word of a scene and the value that it means.
template<typename T> struct Word
{
    std::string_view text;
    T value;
};

/// Reads one JSON object key by key, remembers which keys it was asked for, and complains by name
/// of values out of bounds and of keys that nobody asked for.
class KeyReader
{
public:
    /// @param path  name of the object in messages, "" at the top
    KeyReader(const nlohmann::json& object, std::string path, Complaint& complaint);

    void read(std::string_view key, double& value, Bounds bounds);
    void read(std::string_view key, int& value, Bounds bounds);
    void read(std::string_view key, bool& value);
    void read(std::string_view key, std::string& value);
    void read(std::string_view key, std::uint64_t& value);
    void read(std::string_view key, FrameRate& value, Bounds hz);
    void read(std::string_view key, std::optional<FrameRate>& value, Bounds hz);
    void read(std::string_view key, std::optional<double>& value, Bounds bounds);
    void read(std::string_view key, RectPx& value);
    void read(std::string_view key, std::optional<RectPx>& value);
    void read(std::string_view key, std::optional<QuadPx>& value);
    void read(std::string_view key, Range& value, Bounds bounds);
    void read(std::string_view key, Colour& value);
    void read(std::string_view key, std::vector<double>& value, Bounds bounds);
    void read(std::string_view key, std::vector<std::int64_t>& value);
    /// A number, or the word "random" for a phase drawn from the seed.
    void read(std::string_view key, Phase& value, Bounds bounds);

    template<typename T>
    void readWord(std::string_view key, T& value, std::span<const Word<T>> words)
    {
        std::string text;
        for (const Word<T>& word : words) {
            if (word.value == value) {
                text = word.text;
            }
        }
        read(key, text);
        std::string choices;
        for (const Word<T>& word : words) {
            if (word.text == text) {
                value = word.value;
                return;
            }
            choices += choices.empty() ? "" : ", ";
            choices += word.text;
        }
        complain(key, "is \"" + text + "\"; it can be one of " + choices);
    }

    /// The member object `key` as JSON text, unread; empty where it is absent.
    void readObject(std::string_view key, std::string& text);

    [[nodiscard]] bool has(std::string_view key) const;
    /// The member object `key`, or nothing where it is absent or null.
    [[nodiscard]] std::optional<KeyReader> child(std::string_view key);
    /// The member array `key` as one reader per object in it.
    [[nodiscard]] std::vector<KeyReader> children(std::string_view key);
    /// Complains of the keys that were never asked for.
    void refuseUnknownKeys();
    void complain(std::string_view key, std::string_view what);

private:
    const nlohmann::json* find(std::string_view key);
    bool numberIn(std::string_view key, const nlohmann::json& json, Bounds bounds, double& value);
    [[nodiscard]] std::string fullName(std::string_view key) const;

    const nlohmann::json* m_object;
    std::string m_path;
    Complaint* m_complaint;
    std::set<std::string, std::less<>> m_known;
};

} // namespace twinlamp::film
