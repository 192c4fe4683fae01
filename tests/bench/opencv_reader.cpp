// SPDX-License-Identifier: GPL-3.0-or-later
#include "tests/bench/opencv_reader.h"

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <opencv2/videoio.hpp>

namespace twinlamp::bench {

std::vector<double> meansByOpenCv(const std::filesystem::path& clip, RectPx first, RectPx second)
{
    cv::VideoCapture reader(clip.string(), cv::CAP_FFMPEG);
    std::vector<double> means;
    cv::Mat frame;
    cv::Mat grey;
    while (reader.read(frame)) {
        for (const RectPx rect : {first, second}) {
            cv::cvtColor(
                frame(cv::Rect(rect.x, rect.y, rect.width, rect.height)), grey, cv::COLOR_BGR2GRAY);
            means.push_back(cv::mean(grey)[0]);
        }
    }
    return means;
}

} // namespace twinlamp::bench
