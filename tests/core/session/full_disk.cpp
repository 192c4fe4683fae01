// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/core/session/full_disk.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <gtest/gtest.h>
#include <sqlite3.h>

namespace twinlamp::session::samples {

namespace {

// SQLite calls back with plain C pointers, so the state is the program's.
std::atomic<std::int64_t> room {0};
std::atomic<bool> hit {false};
sqlite3_vfs layer;
sqlite3_vfs* systemLayer = nullptr;

/// The methods that a file is given, with its own behind them. SQLite has different ones for
/// databases and for journals.
struct Methods
{
    sqlite3_io_methods given {};
    const sqlite3_io_methods* own = nullptr;
};

std::array<Methods, 8> table;

const sqlite3_io_methods& ownOf(const sqlite3_file* file)
{
    return *std::ranges::find_if(table, [file](const Methods& each) {
        return &each.given == file->pMethods;
    })->own;
}

/// Takes a write's growth out of the room; false where there is too little.
bool takes(sqlite3_file* file, std::int64_t end)
{
    sqlite3_int64 size = 0;
    ownOf(file).xFileSize(file, &size);
    const std::int64_t growth = end > size ? end - size : 0;
    if (growth > room) {
        hit = true;
        return false;
    }
    room -= growth;
    return true;
}

int write(sqlite3_file* file, const void* bytes, int count, sqlite3_int64 offset)
{
    return takes(file, offset + count) ? ownOf(file).xWrite(file, bytes, count, offset)
                                       : SQLITE_FULL;
}

int open(sqlite3_vfs* /*layer*/, sqlite3_filename name, sqlite3_file* file, int flags, int* out)
{
    const int done = systemLayer->xOpen(systemLayer, name, file, flags, out);
    if (done == SQLITE_OK && file->pMethods != nullptr) {
        auto* place = std::ranges::find_if(table, [file](const Methods& each) {
            return each.own == nullptr || each.own == file->pMethods;
        });
        place->own = file->pMethods;
        place->given = *file->pMethods;
        place->given.xWrite = write;
        file->pMethods = &place->given;
    }
    return done;
}

} // namespace

FullDisk::FullDisk(std::int64_t roomBytes)
{
    systemLayer = sqlite3_vfs_find(nullptr);
    layer = *systemLayer;
    layer.zName = "full-disk";
    layer.xOpen = open;
    setRoom(roomBytes);
    EXPECT_EQ(sqlite3_vfs_register(&layer, 1), SQLITE_OK);
}

FullDisk::~FullDisk()
{
    sqlite3_vfs_unregister(&layer);
    sqlite3_vfs_register(systemLayer, 1);
}

void FullDisk::setRoom(std::int64_t bytes)
{
    room = bytes;
    hit = false;
}

bool FullDisk::wasHit() { return hit; }

} // namespace twinlamp::session::samples
