/** Kernels on dense square matrices kept by rows in one array; written for speed at some hundred rows. */

/**
 * Cholesky factor L of the symmetric matrix whose lower triangle `a` holds, in its place. Throws a RangeError when it
 * is not positive definite.
 */
export function choleskyInPlace(a: Float64Array, n: number): void {
  for (let i = 0; i < n; i += 1) {
    const row = i * n;
    for (let j = 0; j < i; j += 1) a[row + j] = (a[row + j] - dotRows(a, row, j * n, j)) / a[j * n + j];
    const pivot = a[row + i] - dotRows(a, row, row, i);
    if (!(pivot > 0)) throw new RangeError(`The matrix is not positive definite: pivot ${i} is ${pivot}.`);
    a[row + i] = Math.sqrt(pivot);
  }
}

// Four sums at once, so that an addition need not wait for the one before.
function dotRows(a: Float64Array, i: number, j: number, length: number): number {
  let [s0, s1, s2, s3] = [0, 0, 0, 0];
  let k = 0;
  for (; k + 3 < length; k += 4) {
    s0 += a[i + k] * a[j + k];
    s1 += a[i + k + 1] * a[j + k + 1];
    s2 += a[i + k + 2] * a[j + k + 2];
    s3 += a[i + k + 3] * a[j + k + 3];
  }
  for (; k < length; k += 1) s0 += a[i + k] * a[j + k];
  return s0 + s1 + (s2 + s3);
}

/** Solves L X = B in place; B is n × `width` by rows. */
export function solveLowerRows(l: Float64Array, n: number, b: Float64Array, width: number): void {
  for (let i = 0; i < n; i += 1) {
    for (let k = 0; k < i; k += 1) addRow(b, i * width, b, k * width, -l[i * n + k], width);
    scaleRow(b, i * width, 1 / l[i * n + i], width);
  }
}

/** Solves Lᵀ X = B in place; B is n × `width` by rows. */
export function solveUpperRows(l: Float64Array, n: number, b: Float64Array, width: number): void {
  for (let i = n - 1; i >= 0; i -= 1) {
    scaleRow(b, i * width, 1 / l[i * n + i], width);
    for (let k = 0; k < i; k += 1) addRow(b, k * width, b, i * width, -l[i * n + k], width);
  }
}

/** (L Lᵀ)⁻¹, both triangles filled. */
export function inverseOfFactor(l: Float64Array, n: number): Float64Array {
  const lower = new Float64Array(n * n);
  for (let i = 0; i < n; i += 1) {
    lower[i * n + i] = 1;
    for (let k = 0; k < i; k += 1) addRow(lower, i * n, lower, k * n, -l[i * n + k], k + 1);
    scaleRow(lower, i * n, 1 / l[i * n + i], i + 1);
  }
  const inverse = new Float64Array(n * n);
  subtractSquare(inverse, n, lower, n, -1);
  mirrorLower(inverse, n);
  return inverse;
}

/** Takes sign · WᵀW off the lower triangle of an n × n matrix; W is `depth` × n by rows. The dearest step of all. */
export function subtractSquare(a: Float64Array, n: number, w: Float64Array, depth: number, sign = 1): void {
  let k = 0;
  for (; k + 3 < depth; k += 4) {
    const [r0, r1, r2, r3] = [k * n, (k + 1) * n, (k + 2) * n, (k + 3) * n];
    for (let i = 0; i < n; i += 1) {
      const [f0, f1, f2, f3] = [sign * w[r0 + i], sign * w[r1 + i], sign * w[r2 + i], sign * w[r3 + i]];
      if (f0 === 0 && f1 === 0 && f2 === 0 && f3 === 0) continue;
      const row = i * n;
      for (let j = 0; j <= i; j += 1) {
        a[row + j] -= f0 * w[r0 + j] + f1 * w[r1 + j] + (f2 * w[r2 + j] + f3 * w[r3 + j]);
      }
    }
  }
  for (; k < depth; k += 1) {
    for (let i = 0; i < n; i += 1) addRow(a, i * n, w, k * n, -sign * w[k * n + i], i + 1);
  }
}

/** A · B by rows, A being `height` × n and B n × n. */
export function multiply(a: Float64Array, height: number, b: Float64Array, n: number): Float64Array {
  const product = new Float64Array(height * n);
  for (let i = 0; i < height; i += 1) {
    const row = i * n;
    let k = 0;
    for (; k + 3 < n; k += 4) {
      const [f0, f1, f2, f3] = [a[row + k], a[row + k + 1], a[row + k + 2], a[row + k + 3]];
      const [r0, r1, r2, r3] = [k * n, (k + 1) * n, (k + 2) * n, (k + 3) * n];
      for (let j = 0; j < n; j += 1) {
        product[row + j] += f0 * b[r0 + j] + f1 * b[r1 + j] + (f2 * b[r2 + j] + f3 * b[r3 + j]);
      }
    }
    for (; k < n; k += 1) addRow(product, row, b, k * n, a[row + k], n);
  }
  return product;
}

/** Fills the upper triangle from the lower one. */
export function mirrorLower(a: Float64Array, n: number): void {
  for (let i = 0; i < n; i += 1) for (let j = 0; j < i; j += 1) a[j * n + i] = a[i * n + j];
}

/** The first `count` rows and columns of a matrix whose lower triangle is given, times a factor, both triangles filled. */
export function leadingBlock(matrix: Float64Array, size: number, count: number, factor: number): Float64Array {
  const block = new Float64Array(count * count);
  for (let i = 0; i < count; i += 1) {
    for (let j = 0; j <= i; j += 1) block[i * count + j] = factor * matrix[i * size + j];
  }
  mirrorLower(block, count);
  return block;
}

/** xᵀAx for a symmetric matrix by rows. */
export function quadraticForm(matrix: Float64Array, x: Float64Array): number {
  const size = x.length;
  let sum = 0;
  for (let i = 0; i < size; i += 1) {
    for (let j = 0; j < size; j += 1) sum += x[i] * matrix[i * size + j] * x[j];
  }
  return sum;
}

function addRow(a: Float64Array, to: number, b: Float64Array, from: number, factor: number, length: number): void {
  if (factor === 0) return;
  for (let j = 0; j < length; j += 1) a[to + j] += factor * b[from + j];
}

function scaleRow(a: Float64Array, start: number, factor: number, length: number): void {
  for (let j = 0; j < length; j += 1) a[start + j] *= factor;
}
