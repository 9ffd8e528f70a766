import { type Person, type Store, StoreError } from '@syncline/store';
import * as client from 'openid-client';
import { problem } from '../../problem-error.js';

/** An OpenID provider and what it knows this server as. */
export interface OpenIdSettings {
  readonly issuer: string;
  readonly clientId: string;
  readonly clientSecret: string;
  /** What the button says. */
  readonly name: string;
}

/** What the browser keeps while its person is at the provider. */
export interface OpenIdAttempt {
  readonly state: string;
  readonly nonce: string;
  readonly codeVerifier: string;
  readonly to: string;
  /** The invitation that is to be accepted, where one is. */
  readonly joining: { readonly invitation: string; readonly termsVersion: number } | null;
}

/** Who came back from the provider. */
export interface OpenIdIdentity {
  readonly issuer: string;
  readonly subject: string;
  readonly email: string;
  readonly isEmailVerified: boolean;
  readonly name: string;
}

export type OpenIdService = ReturnType<typeof createOpenIdService>;

/**
 * Sign-in by an OpenID provider: authorization code flow with PKCE, state and nonce (OpenID Connect Core 1.0, 3.1;
 * RFC 7636). It lets in whom the club knows and makes nobody a member who was not invited.
 */
export function createOpenIdService(
  store: Store,
  { settings, publicUrl }: { settings: OpenIdSettings | undefined; publicUrl: string | undefined },
) {
  const { credentials, people } = store.read;
  const callbackUrl = `${publicUrl ?? ''}/api/v1/openid/callback`;
  let discovered: Promise<client.Configuration> | undefined;

  /** What the provider says of itself; asked for when first needed, so that a provider that is down keeps nobody out. */
  async function configuration(): Promise<client.Configuration> {
    if (!settings) throw problem('resource.notFound');
    const issuer = new URL(settings.issuer);
    // The library trusts an id token that came straight from the provider unless told to check its signature as well.
    const execute = [client.enableNonRepudiationChecks];
    if (issuer.protocol === 'http:') execute.push(client.allowInsecureRequests);
    discovered ??= client.discovery(issuer, settings.clientId, settings.clientSecret, undefined, { execute });
    try {
      return await discovered;
    } catch (cause) {
      discovered = undefined;
      throw problem('openId.unreachable', { cause });
    }
  }

  return {
    /** What the sign-in page calls it; null where there is none. */
    name: settings?.name ?? null,

    /** Where the browser goes, and what it keeps meanwhile. */
    async begin(input: Pick<OpenIdAttempt, 'to' | 'joining'>): Promise<{ location: string; attempt: OpenIdAttempt }> {
      const provider = await configuration();
      const codeVerifier = client.randomPKCECodeVerifier();
      const attempt = { ...input, codeVerifier, state: client.randomState(), nonce: client.randomNonce() };
      const location = client.buildAuthorizationUrl(provider, {
        redirect_uri: callbackUrl,
        scope: 'openid email profile',
        state: attempt.state,
        nonce: attempt.nonce,
        code_challenge: await client.calculatePKCECodeChallenge(codeVerifier),
        code_challenge_method: 'S256',
      });
      return { location: location.href, attempt };
    },

    /** Changes the code of the callback's query for who it is. Throws `openId.refused` whatever of it is wrong. */
    async identify(query: string, attempt: OpenIdAttempt): Promise<OpenIdIdentity> {
      const provider = await configuration();
      try {
        const tokens = await client.authorizationCodeGrant(provider, new URL(`${callbackUrl}?${query}`), {
          expectedState: attempt.state,
          expectedNonce: attempt.nonce,
          pkceCodeVerifier: attempt.codeVerifier,
          idTokenExpected: true,
        });
        const claims = tokens.claims();
        if (!claims) throw new Error('no id token');
        const text = (value: unknown) => (typeof value === 'string' ? value.trim() : '');
        return {
          issuer: claims.iss,
          subject: claims.sub,
          email: text(claims.email).toLowerCase(),
          isEmailVerified: claims.email_verified === true,
          name: text(claims.name).slice(0, 200),
        };
      } catch (cause) {
        throw problem('openId.refused', { cause });
      }
    },

    /**
     * The person of the club behind an identity: by its subject, else by its e-mail address where the provider vouches
     * for it; from then on by the subject. Throws `openId.unknown`.
     */
    personFor({ issuer, subject, email, isEmailVerified }: OpenIdIdentity, requestId: string): Person {
      const known = credentials.findByOpenId({ issuer, subject });
      if (known) return known;
      const found = isEmailVerified ? people.findByEmail(email) : undefined;
      if (!found) throw problem('openId.unknown');
      const { passwordHash: _secret, ...person } = found;
      const actor = { kind: 'person', id: person.id, name: person.name, requestId } as const;
      store.credentials.linkOpenId({ actor, personId: person.id, issuer, subject });
      return person;
    },

    /** Who an identity would join as. Throws `openId.unknown` where the provider does not vouch for the address. */
    newPersonFrom({ issuer, subject, email, isEmailVerified, name }: OpenIdIdentity) {
      if (!isEmailVerified || email === '') throw problem('openId.unknown');
      if (credentials.findByOpenId({ issuer, subject })) {
        throw new StoreError('email_taken', 'This account belongs to a member already.');
      }
      return { name: name || email.split('@', 1)[0], email, openid: { issuer, subject } };
    },
  };
}
