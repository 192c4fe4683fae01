// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/store/file_check.h"

#include "core/session/edit_chain.h"

namespace twinlamp::session::store {

Result<RigCheckId> fileCheck(
    SessionFile& file, const std::string& rig, const std::string& date, CheckResult result)
{
    EditChain chain(file.session());
    return rigNamed(chain, rig).and_then([&](RigId id) {
        RigCheck check {newId<RigCheckId>(), 0, id, date, std::move(result)};
        const RigCheckId made = check.id;
        const Result<Edit> filing = addRigCheck(chain.session(), std::move(check));
        return chain.add(filing)
            .and_then([&] {
                Edit edit = chain.edit();
                edit.label = filing->label;
                return file.apply(edit);
            })
            .map([made] { return made; });
    });
}

} // namespace twinlamp::session::store
