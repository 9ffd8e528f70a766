import { hash, verify } from '@node-rs/argon2';

/** Cost of one password hash. */
export interface HashingCost {
  readonly memoryKib: number;
  readonly passes: number;
}

/** argon2id as the OWASP password storage sheet asks for at least: 19 MiB, two passes, one lane. */
export const DEFAULT_HASHING_COST: HashingCost = { memoryKib: 19_456, passes: 2 };

export interface Passwords {
  hash(password: string): Promise<string>;
  /** Takes as long for an unknown account (`undefined`) as for a known one. */
  isRight(passwordHash: string | undefined, password: string): Promise<boolean>;
}

/** Password hashing by argon2id, off the main thread. */
export function createPasswords(cost: HashingCost): Passwords {
  // The library's default algorithm is argon2id.
  const options = { memoryCost: cost.memoryKib, timeCost: cost.passes, parallelism: 1 };
  let decoy: Promise<string> | undefined;
  return {
    hash: (password) => hash(password, options),
    async isRight(passwordHash, password) {
      decoy ??= hash('nobody has this password', options);
      const isMatch = await verify(passwordHash ?? (await decoy), password);
      return isMatch && passwordHash !== undefined;
    },
  };
}
