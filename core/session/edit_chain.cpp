// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/edit_chain.h"

namespace twinlamp::session {

Result<void> EditChain::add(const Result<Edit>& step)
{
    if (!step) {
        return tl::unexpected<Error>(step.error());
    }
    if (step->isEmpty()) {
        return {};
    }
    Result<Session> after = applied(m_session, *step);
    if (!after) {
        return tl::unexpected<Error>(after.error());
    }
    m_session = std::move(*after);
    m_edit = m_edit.isEmpty() ? *step : composed(m_edit, *step);
    return {};
}

Result<RigId> rigNamed(EditChain& chain, const std::string& name)
{
    if (const Rig* rig = findRig(chain.session(), name)) {
        return rig->id;
    }
    Rig rig;
    rig.id = newId<RigId>();
    rig.name = name;
    return chain.add(addRig(chain.session(), rig)).map([&rig] { return rig.id; });
}

} // namespace twinlamp::session
