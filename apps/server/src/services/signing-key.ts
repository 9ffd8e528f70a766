import { createHash, createPrivateKey, createPublicKey, generateKeyPairSync, type KeyObject, sign } from 'node:crypto';
import { closeSync, fsyncSync, openSync, readFileSync, renameSync, rmSync, writeSync } from 'node:fs';
import { join } from 'node:path';

const FILE_NAME = 'signing-key.pem';
/** Last bytes of a public key in DER (RFC 8410 section 4): the key itself. */
const PUBLIC_KEY_BYTES = 32;

/** The key that this server vouches for content with. Ed25519 (RFC 8032): equal bytes give equal signatures. */
export interface SigningKey {
  /** First 16 hex digits of the SHA-256 of the public key. */
  readonly keyId: string;
  readonly publicKeyPem: string;
  readonly publicKeyHex: string;
  /** 64 bytes, detached. */
  sign(bytes: Uint8Array): Uint8Array;
}

/** Why the server cannot start with the key that it finds. */
export class SigningKeyError extends Error {
  constructor(message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = 'SigningKeyError';
  }
}

/**
 * The key of a data folder, made when there is none yet. Throws `SigningKeyError` for a file that is no such key: a new
 * one in its place would make what was signed before look forged.
 */
export function openSigningKey(folder: string): SigningKey {
  const path = join(folder, FILE_NAME);
  const pem = readIfThere(path) ?? writeNew(folder, path);
  return signingKeyOf(parsePrivateKey(pem, path));
}

/** The key with its public half in the forms that others need. */
export function signingKeyOf(privateKey: KeyObject): SigningKey {
  const publicKey = createPublicKey(privateKey);
  const raw = publicKeyBytes(publicKey);
  return {
    keyId: keyIdOf(raw),
    publicKeyPem: publicKey.export({ type: 'spki', format: 'pem' }).toString(),
    publicKeyHex: raw.toString('hex'),
    sign: (bytes) => sign(null, bytes, privateKey),
  };
}

/** The 32 bytes of a public key. */
export function publicKeyBytes(publicKey: KeyObject): Buffer {
  return publicKey.export({ type: 'spki', format: 'der' }).subarray(-PUBLIC_KEY_BYTES);
}

export function keyIdOf(publicKey: Uint8Array): string {
  return createHash('sha256').update(publicKey).digest('hex').slice(0, 16);
}

function parsePrivateKey(pem: string, path: string): KeyObject {
  let key: KeyObject;
  try {
    key = createPrivateKey(pem);
  } catch (cause) {
    throw new SigningKeyError(`${path} is no private key in PEM. ${REMEDY}`, { cause });
  }
  if (key.asymmetricKeyType === 'ed25519') return key;
  throw new SigningKeyError(`${path} holds a key of type ${key.asymmetricKeyType}, expected Ed25519. ${REMEDY}`);
}

const REMEDY =
  'Put the key back from a backup of the data folder. Only if there is none, move the file away: a new key is then ' +
  'made, and signatures given before can no longer be told from forged ones by it.';

function readIfThere(path: string): string | undefined {
  try {
    return readFileSync(path, 'utf8');
  } catch (cause) {
    if (cause instanceof Error && 'code' in cause && cause.code === 'ENOENT') return undefined;
    throw new SigningKeyError(`${path} cannot be read: ${cause instanceof Error ? cause.message : String(cause)}`, {
      cause,
    });
  }
}

/** A crash leaves either no key or a whole one; no one but the owner of the server reads it. */
function writeNew(folder: string, path: string): string {
  const pem = generateKeyPairSync('ed25519').privateKey.export({ type: 'pkcs8', format: 'pem' }).toString();
  const unfinished = `${path}.part`;
  try {
    rmSync(unfinished, { force: true });
    const file = openSync(unfinished, 'wx', 0o600);
    writeSync(file, pem);
    fsyncSync(file);
    closeSync(file);
    renameSync(unfinished, path);
    syncFolder(folder);
  } catch (cause) {
    throw new SigningKeyError(`${path} cannot be made: ${cause instanceof Error ? cause.message : String(cause)}`, {
      cause,
    });
  }
  return pem;
}

function syncFolder(folder: string): void {
  const handle = openSync(folder, 'r');
  fsyncSync(handle);
  closeSync(handle);
}
