import { createHash, createPublicKey, type KeyObject, verify } from 'node:crypto';
import { canonicalJson } from '@syncline/calibration';
import { keyIdOf, publicKeyBytes } from './signing-key.js';

/** What is given to tell whether content is what a server signed. */
export interface SignedFiles {
  /** Content as the server sent it, or an exported document that holds it. */
  readonly content: Uint8Array;
  /** The answer of the signature route, or the signature alone in base64. */
  readonly signature: string;
  /** In PEM, or the answer of the key route. */
  readonly publicKey: string;
}

export type Verdict =
  | {
      readonly kind: 'verified';
      readonly form: 'content' | 'document';
      readonly contentHash: string;
      readonly keyId: string;
    }
  | { readonly kind: 'refuted'; readonly reason: string };

/** A file that cannot be used to verify with. The message says which and why. */
export class UnusableFileError extends Error {
  constructor(message: string, options?: ErrorOptions) {
    super(message, options);
    this.name = 'UnusableFileError';
  }
}

const SIGNATURE_BYTES = 64;

/**
 * Whether the signature (Ed25519, RFC 8032) is of the content under the key. Verified is what was signed to the byte: the
 * file as it is, or the content that an exported document holds. A document that was written anew is not taken: what
 * another reader would make of it is not certain. Throws `UnusableFileError`.
 */
export function verifyContent(files: SignedFiles): Verdict {
  const key = readPublicKey(files.publicKey);
  const { signature, keyId: statedKeyId } = readSignature(files.signature);
  const keyId = keyIdOf(publicKeyBytes(key));
  const isSigned = (bytes: Uint8Array) => verify(null, bytes, key, signature);
  const verified = (form: 'content' | 'document', bytes: Uint8Array): Verdict => {
    return { kind: 'verified', form, contentHash: createHash('sha256').update(bytes).digest('hex'), keyId };
  };
  if (isSigned(files.content)) return verified('content', files.content);
  const inner = contentOfDocument(files.content);
  if (inner && isSigned(inner)) return verified('document', inner);
  if (statedKeyId !== undefined && statedKeyId !== keyId) {
    return { kind: 'refuted', reason: `the signature was made with key ${statedKeyId}, the public key is ${keyId}` };
  }
  return { kind: 'refuted', reason: `the signature is not of this content under key ${keyId}` };
}

/** The canonical bytes of the content within a document, if the file is one as it was exported. */
function contentOfDocument(bytes: Uint8Array): Uint8Array | undefined {
  try {
    const text = Buffer.from(bytes).toString('utf8');
    const document: unknown = JSON.parse(text);
    if (typeof document !== 'object' || document === null || !('content' in document)) return undefined;
    return canonicalJson(document) === text ? Buffer.from(canonicalJson(document.content), 'utf8') : undefined;
  } catch {
    // Bytes that are no JSON are no document; whether they are signed was asked before.
    return undefined;
  }
}

function readPublicKey(text: string): KeyObject {
  let key: KeyObject;
  try {
    key = createPublicKey(memberOf(text, 'publicKeyPem') ?? text);
  } catch (cause) {
    throw new UnusableFileError('The public key is neither PEM nor the answer of the key route.', { cause });
  }
  if (key.asymmetricKeyType === 'ed25519') return key;
  throw new UnusableFileError(`The public key is of type ${key.asymmetricKeyType}, expected Ed25519.`);
}

function readSignature(text: string): { signature: Uint8Array; keyId: string | undefined } {
  const encoded = (memberOf(text, 'signature') ?? text).trim();
  const signature = Buffer.from(encoded, 'base64');
  if (signature.length === SIGNATURE_BYTES && signature.toString('base64') === encoded) {
    return { signature, keyId: memberOf(text, 'keyId') };
  }
  throw new UnusableFileError(
    `The signature is neither ${SIGNATURE_BYTES} bytes in base64 nor the answer of the signature route.`,
  );
}

/** A text member of a JSON object; undefined where the text is no such thing. */
function memberOf(text: string, name: string): string | undefined {
  if (!text.trimStart().startsWith('{')) return undefined;
  try {
    const value: unknown = (JSON.parse(text) as Record<string, unknown>)[name];
    return typeof value === 'string' ? value : undefined;
  } catch {
    return undefined;
  }
}
