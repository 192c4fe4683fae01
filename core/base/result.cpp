// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/result.h"

namespace twinlamp {

tl::unexpected<Error> fail(Stage where, Cause why, std::string detail)
{
    return tl::unexpected<Error>(Error {where, why, std::move(detail)});
}

} // namespace twinlamp
