// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/stats/special_functions.h"

#include "core/base/contracts.h"

#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/non_central_t.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <boost/math/special_functions/beta.hpp>
#include <cmath>

namespace twinlamp::stats {

double binomialAtMost(std::int64_t successes, std::int64_t trials, double share)
{
    TL_EXPECTS(trials >= 0 && share >= 0.0 && share <= 1.0);
    if (successes < 0) {
        return 0.0;
    }
    if (successes >= trials) {
        return 1.0;
    }
    return boost::math::ibetac(
        static_cast<double>(successes + 1), static_cast<double>(trials - successes), share);
}

double betaQuantile(double a, double b, double probability)
{
    TL_EXPECTS(a > 0.0 && b > 0.0 && probability >= 0.0 && probability <= 1.0);
    return boost::math::ibeta_inv(a, b, probability);
}

double chiSquareQuantile(double degrees, double probability)
{
    TL_EXPECTS(degrees > 0.0 && probability > 0.0 && probability < 1.0);
    return boost::math::quantile(boost::math::chi_squared(degrees), probability);
}

double studentQuantile(double degrees, double probability)
{
    TL_EXPECTS(degrees > 0.0 && probability > 0.0 && probability < 1.0);
    return boost::math::quantile(boost::math::students_t(degrees), probability);
}

double normalQuantile(double probability)
{
    TL_EXPECTS(probability > 0.0 && probability < 1.0);
    return boost::math::quantile(boost::math::normal(), probability);
}

double normalAbove(double z)
{
    return boost::math::cdf(boost::math::complement(boost::math::normal(), z));
}

double normalBeyond(double z) { return 2.0 * normalAbove(std::abs(z)); }

double studentBeyond(double degrees, double t)
{
    TL_EXPECTS(degrees > 0.0);
    return 2.0
        * boost::math::cdf(boost::math::complement(boost::math::students_t(degrees), std::abs(t)));
}

double chiSquareAbove(double degrees, double x)
{
    TL_EXPECTS(degrees > 0.0);
    if (x <= 0.0) {
        return 1.0;
    }
    return boost::math::cdf(boost::math::complement(boost::math::chi_squared(degrees), x));
}

double fAbove(RatioDegrees degrees, double ratio)
{
    TL_EXPECTS(degrees.numerator > 0.0 && degrees.denominator > 0.0);
    if (ratio <= 0.0) {
        return 1.0;
    }
    const boost::math::fisher_f distribution(degrees.numerator, degrees.denominator);
    return boost::math::cdf(boost::math::complement(distribution, ratio));
}

double noncentralStudentBeyond(double degrees, double offset, double limit)
{
    TL_EXPECTS(degrees > 0.0 && limit > 0.0);
    const boost::math::non_central_t distribution(degrees, std::abs(offset));
    return boost::math::cdf(boost::math::complement(distribution, limit))
        + boost::math::cdf(distribution, -limit);
}

} // namespace twinlamp::stats
