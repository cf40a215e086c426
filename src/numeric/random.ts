import { DomainError } from './domain-error.ts';

/** A stream of pseudo-random numbers. The same seed gives the same stream on every machine. */
export interface RandomSource {
  /** A whole number, 0 to 2³² − 1, every value equally likely. */
  uint32(): number;
  /** A number in [0, 1) with 53 random bits. */
  uniform(): number;
  /** A number from the normal distribution with mean 0 and standard deviation 1. */
  normal(): number;
}

/**
 * Random source [-] for a whole-number seed: xoshiro128++ for the bits, a 256-layer ziggurat for the normal distribution.
 *
 * The 128 bits of state are the first two outputs of SplitMix64 started at the seed, low half first, as the generator's
 * authors recommend. A normal number takes two words: 53 of the 64 bits place it inside its layer, 8 others choose
 * the layer, so layer and place are independent (with one word for both they are not, and the tails show it).
 *
 * Valid for: whole seeds from 0 to 2⁵³ − 1. Period 2¹²⁸ − 1. Not for secrets.
 * Throws: DomainError for any other seed.
 * Source: Blackman & Vigna, Scrambled linear pseudorandom number generators, ACM Trans. Math. Softw. 47 (2021) 36;
 * Steele, Lea & Flood, OOPSLA 2014 (SplitMix64); Marsaglia & Tsang, J. Stat. Softw. 5 (2000) 8 (ziggurat);
 * Leong et al., J. Stat. Softw. 12 (2005) 7 (why layer and place need their own bits).
 * Evidence: known answers of the reference generators; moments, tail and Kolmogorov–Smirnov distance of the normals.
 */
export function randomSource(seed: number): RandomSource {
  if (!(Number.isInteger(seed) && seed >= 0 && seed <= Number.MAX_SAFE_INTEGER)) {
    throw new DomainError('seed', seed, '-', 'a whole number from 0 to 2^53 - 1');
  }
  const next = splitMix64(BigInt(seed));
  const first = next();
  const second = next();
  return fromState([low32(first), high32(first), low32(second), high32(second)]);
}

/** SplitMix64: each call gives the next 64-bit word of the stream that starts at `seed`. For seeding only; it is slow. */
export function splitMix64(seed: bigint): () => bigint {
  let state = BigInt.asUintN(64, seed);
  return () => {
    state = BigInt.asUintN(64, state + 0x9e3779b97f4a7c15n);
    let z = state;
    z = BigInt.asUintN(64, (z ^ (z >> 30n)) * 0xbf58476d1ce4e5b9n);
    z = BigInt.asUintN(64, (z ^ (z >> 27n)) * 0x94d049bb133111ebn);
    return z ^ (z >> 31n);
  };
}

/** Random source from the generator's own state: four 32-bit words, not all zero. */
export function fromState(state: readonly [number, number, number, number]): RandomSource {
  let s0 = state[0] | 0;
  let s1 = state[1] | 0;
  let s2 = state[2] | 0;
  let s3 = state[3] | 0;
  if ((s0 | s1 | s2 | s3) === 0) throw new DomainError('state', 0, '-', 'not all zero');

  const int32 = (): number => {
    const sum = (s0 + s3) | 0;
    const result = (((sum << 7) | (sum >>> 25)) + s0) | 0;
    const t = s1 << 9;
    s2 ^= s0;
    s3 ^= s1;
    s1 ^= s2;
    s0 ^= s3;
    s2 ^= t;
    s3 = (s3 << 11) | (s3 >>> 21);
    return result;
  };
  const uniform = (): number => ((int32() >>> 5) * 67108864 + (int32() >>> 6)) / 9007199254740992;
  // The tail logarithm must not see zero.
  const openUniform = (): number => 1 - uniform();

  const normal = (): number => {
    for (;;) {
      const place = int32(); // sign and the 31 high bits of the place
      const word = int32();
      const layer = word & 255;
      // 21 more bits below the 32 of `place`; the 8 layer bits stay out of it.
      const u = (place + (word >>> 11) / 2097152) / 2147483648; // [-1, 1)
      const x = u * EDGE[layer]!;
      if (Math.abs(x) < EDGE[layer + 1]!) return x;
      if (layer === 0) return u < 0 ? -tail(openUniform) : tail(openUniform);
      const height = HEIGHT[layer]! + uniform() * (HEIGHT[layer + 1]! - HEIGHT[layer]!);
      if (height < Math.exp(-0.5 * x * x)) return x;
    }
  };
  return { uint32: () => int32() >>> 0, uniform, normal };
}

/** Where the tail of the 256-layer ziggurat begins, and the area of a layer, for exp(−x²/2) (Marsaglia & Tsang). */
const TAIL_START = 3.6541528853610088;
const LAYER_AREA = 0.00492867323399;

/** Right edges of the layers, EDGE[0] the base strip's equivalent width, EDGE[256] = 0; HEIGHT = exp(−EDGE²/2). */
const { EDGE, HEIGHT } = ziggurat();

function ziggurat(): { EDGE: Float64Array; HEIGHT: Float64Array } {
  const EDGE = new Float64Array(257);
  const HEIGHT = new Float64Array(257);
  const density = (x: number): number => Math.exp(-0.5 * x * x);
  EDGE[0] = LAYER_AREA / density(TAIL_START);
  EDGE[1] = TAIL_START;
  for (let i = 2; i < 256; i++) EDGE[i] = Math.sqrt(-2 * Math.log(LAYER_AREA / EDGE[i - 1]! + density(EDGE[i - 1]!)));
  EDGE[256] = 0;
  for (let i = 1; i <= 256; i++) HEIGHT[i] = density(EDGE[i]!);
  return { EDGE, HEIGHT };
}

/** A normal number above TAIL_START: Marsaglia's exact tail method. */
function tail(openUniform: () => number): number {
  for (;;) {
    const x = -Math.log(openUniform()) / TAIL_START;
    const y = -Math.log(openUniform());
    if (y + y > x * x) return TAIL_START + x;
  }
}

function low32(word: bigint): number {
  return Number(BigInt.asUintN(32, word));
}

function high32(word: bigint): number {
  return Number(word >> 32n);
}
