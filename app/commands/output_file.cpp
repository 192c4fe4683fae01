// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/commands/output_file.h"

#include "core/base/file_writer.h"

#include <filesystem>

namespace twinlamp::commands {

Result<void> writeOutput(
    const CommandContext& context, std::string_view target, std::string_view text)
{
    if (target != "-") {
        return writeFileAside(std::filesystem::path(target), text, Stage::Command);
    }
    context.out << text << std::flush;
    if (!context.out) {
        return fail(Stage::Command, Cause::WriteFailed,
            "standard output cannot be written; check the pipe or the disk that it goes to");
    }
    return {};
}

} // namespace twinlamp::commands
