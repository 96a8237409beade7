"""Trees that tell classes apart, grown on binned features: extremely randomised ones.

A node takes a few features at random, one random place to cut each, and keeps the cut that
separates the classes best (P. Geurts, D. Ernst, L. Wehenkel, Machine Learning 63 (2006) 3, from
memory). Rows carry weights. Nothing here draws on a machine's own chance: the random numbers are
SplitMix64's (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014, from memory).
"""

import numpy as np

__all__ = ["drop", "grow"]

EXACT = True

GOLDEN = np.uint64(0x9E3779B97F4A7C15)
MIX_ONE = np.uint64(0xBF58476D1CE4E5B9)
MIX_TWO = np.uint64(0x94D049BB133111EB)
THIRTY, TWENTY_SEVEN, THIRTY_ONE, ELEVEN = (np.uint64(n) for n in (30, 27, 31, 11))
UNIT = 1.0 / 9007199254740992.0  # 2^-53


def _next(state):
    """Advance a stream; return a number from 0 up to 1."""
    state[0] += GOLDEN
    z = state[0]
    z = (z ^ (z >> THIRTY)) * MIX_ONE
    z = (z ^ (z >> TWENTY_SEVEN)) * MIX_TWO
    z = z ^ (z >> THIRTY_ONE)
    return float(z >> ELEVEN) * UNIT


def _purity(bins, feature, cut, rows, first, end, classes, weights, left, right):
    """Sum of squares over size, both sides: the larger, the purer (Gini). ``left`` is emptied."""
    for n in range(first, end):
        left[classes[rows[n]]] = 0.0
        right[classes[rows[n]]] = 0.0
    sum_left, sum_right = 0.0, 0.0
    for n in range(first, end):
        row = rows[n]
        if bins[feature, row] <= cut:
            left[classes[row]] += weights[row]
            sum_left += weights[row]
        else:
            right[classes[row]] += weights[row]
            sum_right += weights[row]
    if sum_left <= 0.0 or sum_right <= 0.0:
        return -1.0
    square_left, square_right = 0.0, 0.0
    for n in range(first, end):
        group = classes[rows[n]]
        square_left += left[group] * left[group]
        square_right += right[group] * right[group]
        left[group] = 0.0
        right[group] = 0.0
    return square_left / sum_left + square_right / sum_right


def _span(bins, feature, rows, first, end):
    low, high = 255, 0
    for n in range(first, end):
        value = int(bins[feature, rows[n]])
        low = min(low, value)
        high = max(high, value)
    return low, high


def _part(bins, feature, cut, rows, first, end):
    """Put rows of the left side first; return where the right side begins."""
    place = first
    for n in range(first, end):
        row = rows[n]
        if bins[feature, row] <= cut:
            rows[n] = rows[place]
            rows[place] = row
            place += 1
    return place


def _is_pure(rows, first, end, classes):
    differ = 0
    for n in range(first + 1, end):
        differ += classes[rows[n]] != classes[rows[first]]
    return differ == 0


def grow(
    bins, classes, weights, rows, tries, least, deepest, state, scratch, stack, nodes, leaf_of
):
    """Grow one tree on some rows; return how many nodes it has.

    Parameters
    ----------
    bins : (features, all rows) uint8 array
    classes, weights : (all rows,) int32 and float64 arrays
    rows : (n,) int32 array
        Which rows to grow on, in any order; they are rearranged.
    tries : int
        Cuts that a node looks at.
    least, deepest : int
        Rows that a leaf has at least; and the deepest level.
    state : (1,) uint64 array
        Of the random stream.
    scratch : (2, classes) float64 array
        Of zeros.
    stack : (2 deepest + 8, 4) int32 array
        To work with.
    nodes : (k, 4) int32 array
        Written: feature (-1 of a leaf), cut, left child, right child; of a leaf the first and the
        last but one of its ``rows``.
    leaf_of : (n,) int32 array
        Written: the leaf of each of ``rows``, as they are rearranged.
    """
    left, right = scratch[0], scratch[1]
    stack[0, 0], stack[0, 1], stack[0, 2], stack[0, 3] = 0, 0, len(rows), 0
    depth_of_stack, count = 1, 1
    while depth_of_stack > 0:
        depth_of_stack -= 1
        node, first, end, level = (
            stack[depth_of_stack, 0],
            stack[depth_of_stack, 1],
            stack[depth_of_stack, 2],
            stack[depth_of_stack, 3],
        )
        best, best_feature, best_cut = -1.0, -1, 0
        parts = bins.shape[0] > 0 and end - first >= 2 * least and level < deepest
        if parts and not _is_pure(rows, first, end, classes):
            done, looked = 0, 0
            while done < tries and looked < 4 * tries:
                looked += 1
                feature = int(_next(state) * bins.shape[0])
                low, high = _span(bins, feature, rows, first, end)
                if low >= high:
                    continue
                done += 1
                cut = low + int(_next(state) * (high - low))
                purity = _purity(
                    bins, feature, cut, rows, first, end, classes, weights, left, right
                )
                if purity > best:
                    best, best_feature, best_cut = purity, feature, cut
        middle = first
        if best_feature >= 0:
            middle = _part(bins, best_feature, best_cut, rows, first, end)
        if best_feature < 0 or middle - first < least or end - middle < least:
            nodes[node, 0] = -1
            nodes[node, 1] = 0
            nodes[node, 2] = first
            nodes[node, 3] = end
            for n in range(first, end):
                leaf_of[n] = node
            continue
        nodes[node, 0] = best_feature
        nodes[node, 1] = best_cut
        nodes[node, 2] = count
        nodes[node, 3] = count + 1
        for child in range(2):
            stack[depth_of_stack, 0] = count + child
            stack[depth_of_stack, 1] = first if child == 0 else middle
            stack[depth_of_stack, 2] = middle if child == 0 else end
            stack[depth_of_stack, 3] = level + 1
            depth_of_stack += 1
        count += 2
    return count


def drop(bins, nodes, leaves):
    """Drop rows down one tree.

    Parameters
    ----------
    bins : (features, n) uint8 array
    nodes : (k, 4) int32 array
    leaves : (n,) int32 array
        Written: the leaf that each row comes to.
    """
    for row in range(bins.shape[1]):
        node = 0
        while nodes[node, 0] >= 0:
            goes_left = bins[nodes[node, 0], row] <= nodes[node, 1]
            node = nodes[node, 2] if goes_left else nodes[node, 3]
        leaves[row] = node
