import type { CalibrationService } from './calibrations.js';
import type { SigningKey } from './signing-key.js';

export type SigningService = ReturnType<typeof createSigningService>;

/** Vouches for the content of revisions: whoever has the public key can tell later, without this server. */
export function createSigningService(calibrations: CalibrationService, key: SigningKey) {
  const { keyId, publicKeyPem, publicKeyHex } = key;
  const sign = (bytes: Uint8Array) => Buffer.from(key.sign(bytes)).toString('base64');
  return {
    publicKey: { algorithm: 'Ed25519', keyId, publicKeyPem, publicKeyHex } as const,

    /** Detached, over the bytes of the canonical JSON (RFC 8785) that the content hash is taken of. */
    signRevision(revisionId: string) {
      const { contentHash, canonicalJson } = calibrations.getContentText(revisionId);
      const signature = sign(Buffer.from(canonicalJson, 'utf8'));
      return { algorithm: 'Ed25519', keyId, signature, contentHash } as const;
    },

    /** Detached, over a file as it is sent. */
    signBytes: (bytes: Uint8Array) => ({ keyId, signature: sign(bytes) }),
  };
}
