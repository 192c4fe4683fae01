// SPDX-License-Identifier: GPL-3.0-or-later
// The explanation of the press in hand, in a window beside the page.
#include "ui/explain/explain_dialog.h"
#include "ui/pages/bench_page.h"

#include <algorithm>

namespace twinlamp::ui {

void BenchPage::explainPress()
{
    if (m_explain == nullptr) {
        m_explain = new ExplainDialog(this);
        connect(m_explain, &ExplainDialog::stepAsked, this, &BenchPage::stepExplanation);
    }
    m_explain->show();
    m_explain->raise();
    m_explain->activateWindow();
    showExplanation();
}

void BenchPage::stepExplanation(bool forward)
{
    // From the press in hand, not from where the footage stands: that one is being read.
    const auto presses = m_desk->presses();
    const auto here = std::ranges::find_if(presses, [this](const session::EffectivePress& press) {
        return press.press.index == m_desk->press();
    });
    if (here == presses.end() || (forward ? here + 1 == presses.end() : here == presses.begin())) {
        return;
    }
    m_desk->pickPress((forward ? here + 1 : here - 1)->press.index);
    goToPress();
}

void BenchPage::showExplanation()
{
    if (m_explain == nullptr || !m_explain->isVisible()) {
        return;
    }
    const session::Clip* clip = m_desk->clip();
    const auto press = pressInHand();
    // While a clip is measured its presses are provisional: there is nothing to account for yet.
    if (clip == nullptr || !clip->measurement || !press || m_desk->isMeasuring()) {
        m_explain->setSubject(std::nullopt);
        return;
    }
    m_explain->setSubject(ExplainSubject {clip->measurement->clip, clip->measurement->regions,
        m_desk->traces(), *press, m_desk->index(), m_desk->problem()});
}

} // namespace twinlamp::ui
