// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

#include <initializer_list>
#include <string>
#include <utility>

/// What the functions that make edits share. Not for users of edits.
namespace twinlamp::session::parts {

inline tl::unexpected<Error> noSuchEntry(const char* kind)
{
    return fail(Stage::Session, Cause::NotFound,
        std::string("the session has no such ") + kind + "; it may have been removed meanwhile");
}

inline tl::unexpected<Error> invalid(std::string detail)
{
    return fail(Stage::Session, Cause::InvalidValue, std::move(detail));
}

/// An edit of the given label, or an empty one where nothing differs.
template<typename T>
Edit changeEntry(const T& before, T after, Sentence label, std::string mergeKey = {})
{
    if (before == after) {
        return {};
    }
    return {std::move(label), {EntryChange<T> {before, std::move(after)}}, std::move(mergeKey)};
}

/// Place behind the last of a list.
template<typename T> std::int64_t lastPlace(const std::vector<T>& entries)
{
    return entries.empty() ? 0 : entries.back().place + placeStep;
}

} // namespace twinlamp::session::parts
