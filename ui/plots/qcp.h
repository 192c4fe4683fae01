// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

// The only place that includes QCustomPlot: its header needs Qt's keywords and foreach.
#include <qcustomplot.h>
