// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/explanation_drawing.h"

#ifdef TWINLAMP_WITH_WINDOW
#include "ui/explain/explanation_files.h"
#endif

namespace twinlamp::app {

Result<std::string> drawExplanation([[maybe_unused]] const report::PressExplanation& explanation,
    [[maybe_unused]] const std::vector<commands::LampPicture>& pictures,
    [[maybe_unused]] commands::DrawingFormat format)
{
#ifdef TWINLAMP_WITH_WINDOW
    std::vector<ui::RawLampPicture> raw;
    for (const commands::LampPicture& picture : pictures) {
        raw.push_back({picture.frame, picture.goggle, picture.picture});
    }
    return ui::drawWithoutDisplay(explanation, raw, format == commands::DrawingFormat::Svg);
#else
    return fail(Stage::Command, Cause::InvalidValue,
        "this build cannot draw, for it has no window library; use --json instead of -o");
#endif
}

} // namespace twinlamp::app
