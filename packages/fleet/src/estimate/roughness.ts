/**
 * Matrix S (n × n by rows) for which θᵀSθ is the sum of squared second differences of a table along its axes, each
 * scaled by the spacing of the break points: with steps h₁, h₂ and their mean h̄ over the axis,
 * d = 2h̄²·((θ₃ − θ₂)/h₂ − (θ₂ − θ₁)/h₁)/(h₁ + h₂), which is θ₁ − 2θ₂ + θ₃ on even spacing (methods.md 6; Whittaker 1923).
 * @param axisWeights factor on each axis's sum; default 1
 */
export function roughnessMatrix(
  axes: readonly (readonly number[])[],
  axisWeights: readonly number[] = axes.map(() => 1),
): Float64Array {
  const count = axes.reduce((product, axis) => product * axis.length, 1);
  const matrix = new Float64Array(count * count);
  for (const [a, axis] of axes.entries()) {
    const stride = axes.slice(a + 1).reduce((product, { length }) => product * length, 1);
    const differences = secondDifferences(axis);
    for (let node = 0; node < count; node += 1) {
      const difference = differences[Math.floor(node / stride) % axis.length];
      if (difference) addSquare(matrix, count, difference, node, stride, axisWeights[a]);
    }
  }
  return matrix;
}

/** Weights of each break point with its two followers; absent for the last two. */
function secondDifferences(axis: readonly number[]): [number, number, number][] {
  const mean = (axis[axis.length - 1] - axis[0]) / (axis.length - 1);
  return axis.slice(0, -2).map((x, i) => {
    const before = axis[i + 1] - x;
    const after = axis[i + 2] - axis[i + 1];
    const scale = (2 * mean * mean) / (before + after);
    return [scale / before, -scale / before - scale / after, scale / after];
  });
}

function addSquare(
  matrix: Float64Array,
  size: number,
  difference: readonly number[],
  first: number,
  stride: number,
  weight: number,
): void {
  for (let i = 0; i < 3; i += 1) {
    for (let j = 0; j < 3; j += 1) {
      matrix[(first + i * stride) * size + first + j * stride] += weight * difference[i] * difference[j];
    }
  }
}
