// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "core/session/edit.h"

namespace twinlamp::session {

/// Joins edits, each made for the session that the ones before it lead to, into one step.
class EditChain
{
public:
    explicit EditChain(Session start)
        : m_session(std::move(start))
    {
    }

    /// @error  the step's own, or that of `applied`; the chain then stays as it was
    Result<void> add(const Result<Edit>& step);

    /// As it will be when the chain is applied.
    [[nodiscard]] const Session& session() const { return m_session; }

    /// With the label and merge key of the first step.
    [[nodiscard]] const Edit& edit() const { return m_edit; }

private:
    Session m_session;
    Edit m_edit;
};

/// The rig of that name, made in the chain where there is none.
/// @error Session/InvalidValue  an empty name
[[nodiscard]] Result<RigId> rigNamed(EditChain& chain, const std::string& name);

} // namespace twinlamp::session
