"""Scrambled Sobol points: those of `scipy.stats.qmc.Sobol`, without importing `scipy.stats`, which takes a second.

Direction numbers: S. Joe and F. Y. Kuo, "Constructing Sobol sequences with better two-dimensional projections", SIAM J.
Sci. Comput. 30 (2008), the first dimensions of their file new-joe-kuo-6. Scrambled as there: a random lower triangular
matrix on the digits of each direction number, and a digital shift (J. Matousek, J. Complexity 14, 1998).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

DIGITS = 30  # binary, of a coordinate

# Of each dimension after the first, the primitive polynomial as a binary number and the first direction numbers.
JOE_KUO = """
3:1 7:1,3 11:1,3,1 13:1,1,1 19:1,1,3,3 25:1,3,5,13 37:1,1,5,5,17 41:1,1,5,5,5 47:1,1,7,11,19 55:1,1,5,1,1
59:1,1,1,3,11 61:1,3,5,5,31 67:1,3,3,9,7,49 91:1,1,1,15,21,21 97:1,3,1,13,27,49 103:1,1,1,15,7,5
109:1,3,1,15,13,25 115:1,1,5,5,19,61 131:1,3,7,11,23,15,103 137:1,3,7,13,13,15,69 143:1,1,3,13,7,35,63
145:1,3,5,9,1,25,53 157:1,3,1,13,9,35,107 167:1,3,1,5,27,61,31 171:1,1,5,11,19,41,61 185:1,3,5,3,3,13,69
191:1,1,7,13,1,19,1 193:1,3,7,5,13,19,59 203:1,1,3,9,25,29,41 211:1,3,5,13,23,1,55 213:1,3,7,3,13,59,17
229:1,3,1,3,5,53,69 239:1,1,5,5,23,33,13 241:1,1,7,7,1,61,123 247:1,1,7,9,13,61,49 253:1,3,3,5,3,55,33
285:1,3,1,15,31,13,49,245 299:1,3,5,15,31,59,63,97 301:1,3,1,11,11,11,77,249 333:1,3,1,11,27,43,71,9
351:1,1,7,15,21,11,81,45 355:1,3,7,3,25,31,65,79 357:1,3,1,1,19,11,3,205 361:1,1,5,9,19,21,29,157
369:1,3,7,11,1,33,89,185 391:1,3,3,3,15,9,79,71 397:1,3,7,11,15,39,119,27 425:1,1,3,1,11,31,97,225
451:1,1,1,3,23,43,57,177 463:1,3,7,7,17,17,37,71 487:1,3,1,5,27,63,123,213 501:1,1,3,5,11,43,53,133
529:1,3,5,5,29,17,47,173,479 539:1,3,3,11,3,1,109,9,69 545:1,1,1,5,17,39,23,5,343 557:1,3,1,5,25,15,31,103,499
563:1,1,1,11,11,17,63,105,183 601:1,1,5,11,9,29,97,231,363 607:1,1,5,15,19,45,41,7,383
617:1,3,7,7,31,19,83,137,221 623:1,1,1,3,23,15,111,223,83 631:1,1,5,13,31,15,55,25,161
637:1,1,3,13,25,47,39,87,257 647:1,1,1,11,21,53,125,249,293 661:1,1,7,11,11,7,57,79,323 675:1,1,5,5,17,13,81,3,131
677:1,1,7,13,23,7,65,251,475 687:1,3,5,1,9,43,3,149,11 695:1,1,3,13,31,13,13,255,487 701:1,3,3,1,5,63,89,91,127
719:1,1,3,3,1,19,123,127,237 721:1,1,5,7,23,31,37,243,289 731:1,1,5,11,17,53,117,183,491
757:1,1,1,5,1,13,13,209,345 761:1,1,3,15,1,57,115,7,33 787:1,3,1,11,7,43,81,207,175 789:1,3,1,1,15,27,63,255,49
799:1,3,5,3,27,61,105,171,305 803:1,1,5,3,1,3,57,249,149 817:1,1,3,5,5,57,15,13,159 827:1,1,1,11,7,11,105,141,225
847:1,3,3,5,27,59,121,101,271 859:1,3,5,9,11,49,51,59,115 865:1,1,7,1,23,45,125,71,419 875:1,1,3,5,23,5,105,109,75
877:1,1,7,15,7,11,67,121,453 883:1,3,7,3,9,13,31,27,449 895:1,3,1,15,19,39,39,89,15 901:1,1,1,1,1,33,73,145,379
911:1,3,1,15,15,43,29,13,483 949:1,1,7,3,19,27,85,131,431 953:1,3,3,3,5,35,23,195,349 967:1,3,3,7,9,27,39,59,297
971:1,1,3,9,11,17,13,241,157 973:1,3,7,15,25,57,33,189,213 981:1,1,7,1,9,55,73,83,217
985:1,3,3,13,19,27,23,113,249 995:1,3,5,3,23,43,3,253,479 1001:1,1,5,5,11,5,45,117,217
1019:1,3,3,7,29,37,33,123,147 1033:1,3,1,15,5,5,37,227,223,459 1051:1,1,7,5,5,39,63,255,135,487
1063:1,3,1,7,9,7,87,249,217,599 1069:1,1,3,13,9,47,7,225,363,247 1125:1,3,7,13,19,13,9,67,9,737
1135:1,3,5,5,19,59,7,41,319,677 1153:1,1,5,3,31,63,15,43,207,789 1163:1,1,7,9,13,39,3,47,497,169
1221:1,3,1,7,21,17,97,19,415,905 1239:1,3,7,1,3,31,71,111,165,127 1255:1,1,5,11,1,61,83,119,203,847
1267:1,3,3,13,9,61,19,97,47,35 1279:1,1,7,7,15,29,63,95,417,469 1293:1,3,1,9,25,9,71,57,213,385
1305:1,3,5,13,31,47,101,57,39,341 1315:1,1,3,3,31,57,125,173,365,551 1329:1,3,7,1,13,57,67,157,451,707
1341:1,1,1,7,21,13,105,89,429,965 1347:1,1,5,9,17,51,45,119,157,141 1367:1,3,7,7,13,45,91,9,129,741
1387:1,3,7,1,23,57,67,141,151,571 1413:1,1,3,11,17,47,93,107,375,157 1423:1,3,3,5,11,21,43,51,169,915
1431:1,1,5,3,15,55,101,67,455,625 1441:1,3,5,9,1,23,29,47,345,595 1479:1,3,7,7,5,49,29,155,323,589
1509:1,3,3,7,5,41,127,61,261,717
"""
MOST_DIMENSIONS = 1 + len(JOE_KUO.split())


def scrambled_sobol(exponent: int, dimensions: int, seed: int) -> Array:
    """The first 2^exponent points in the half-open unit cube, (points, dimensions)."""
    return sobol_blocks(exponent, dimensions, seed)(0)


def sobol_blocks(exponent: int, dimensions: int, seed: int) -> Callable[[int], Array]:
    """The points in blocks of 2^exponent, (2^exponent, dimensions): block 0, 1 and so on, in any order.

    Above `MOST_DIMENSIONS` they come from scipy itself.
    """
    if dimensions > MOST_DIMENSIONS:
        return lambda number: _block_of_scipy(exponent, dimensions, seed, number)
    generator = np.random.default_rng(seed).spawn(1)[0]  # as there
    place = np.arange(DIGITS, dtype=np.uint32)
    shift = generator.integers(2, size=(dimensions, DIGITS), dtype=np.uint32) @ (1 << place)
    triangle = np.tril(generator.integers(2, size=(dimensions, DIGITS, DIGITS), dtype=np.uint32), -1)
    falling = (DIGITS - 1 - place).astype(np.uint32)
    digits = (_directions(dimensions)[:, None, :] >> falling[:, None]) & 1  # (dimensions, digit, direction)
    scrambled = (digits + (triangle @ digits)) & 1
    directions = (scrambled << falling[:, None]).sum(axis=1, dtype=np.uint32)
    first = np.empty((2**exponent, dimensions), dtype=np.uint32)
    first[0] = shift
    for k in range(exponent):  # in the order of the reflected Gray code
        first[2**k : 2 ** (k + 1)] = first[2**k - 1 :: -1] ^ directions[:, k]

    def block(number: int) -> Array:
        # The lower digits of its Gray code are those of the first block, in reverse where the number is odd.
        points, code = first[::-1] if number & 1 else first, number ^ (number >> 1)
        higher = [exponent + k for k in range(code.bit_length()) if code >> k & 1]
        return np.asarray((points ^ np.bitwise_xor.reduce(directions[:, higher], axis=1)) * 0.5**DIGITS)

    return block


def _block_of_scipy(exponent: int, dimensions: int, seed: int, number: int) -> Array:
    from scipy.stats import qmc  # noqa: PLC0415 takes a second

    points = qmc.Sobol(dimensions, rng=np.random.default_rng(seed))
    if number:
        points.fast_forward(number * 2**exponent)
    return np.asarray(points.random(2**exponent))


def _directions(dimensions: int) -> NDArray[np.uint32]:
    """Direction numbers of each dimension, (dimensions, DIGITS)."""
    found = np.ones((dimensions, DIGITS), dtype=np.int64)
    for number, entry in zip(found[1:], JOE_KUO.split(), strict=False):
        polynomial, _, first = entry.partition(":")
        start = [int(m) for m in first.split(",")]
        degree = len(start)
        taps = [k for k in range(1, degree + 1) if int(polynomial) >> (degree - k) & 1]
        number[:degree] = start
        for j in range(degree, DIGITS):
            number[j] = number[j - degree]
            for k in taps:
                number[j] ^= number[j - k] << k
    return (found << (DIGITS - 1 - np.arange(DIGITS))).astype(np.uint32)
