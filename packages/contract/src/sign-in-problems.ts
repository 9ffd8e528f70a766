/** The problems of coming in and of one's own account; a part of `PROBLEMS`. */
export const SIGN_IN_PROBLEMS = {
  'session.required': { status: 401, title: 'Sign-in is needed', remedy: 'Sign in, or send a bearer token.' },
  'session.badCredentials': {
    status: 401,
    title: 'E-mail address or password is wrong',
    remedy: 'Check both; after too many tries wait some minutes.',
  },
  'session.codeNeeded': {
    status: 401,
    title: 'A code of your second factor is needed',
    remedy: 'Enter the code that your authenticator app shows now, or a recovery code.',
  },
  'session.badCode': {
    status: 401,
    title: 'This code is wrong, too old or used already',
    remedy: 'Wait for the next code of the app, and see that the clock of its device is right.',
  },
  'session.suspended': {
    status: 403,
    title: 'Your account is suspended',
    remedy: 'Ask a maintainer.',
  },
  'session.secondFactorNeeded': {
    status: 403,
    title: 'Maintainers of this club need a second factor',
    remedy: 'Add an authenticator app on your account page; everything else is open after that.',
  },
  'session.consentNeeded': {
    status: 403,
    title: 'The terms of the club have changed',
    remedy: 'Open the pages, read the terms and agree to them; then repeat what you did.',
  },
  'session.expired': {
    status: 401,
    title: 'The sign-in took too long',
    remedy: 'Begin again.',
  },
  'session.forbidden': { status: 403, title: 'Your role may not do this', remedy: 'Ask a maintainer.' },
  'session.badOrigin': {
    status: 403,
    title: 'The request came from another site',
    remedy: 'Use the pages of this server, or a bearer token.',
  },
  'password.wrong': {
    status: 403,
    title: 'This is not your password',
    remedy: 'Check it; a maintainer can send you a link for a new one.',
  },
  'reset.invalid': {
    status: 404,
    title: 'This link is unknown, used or expired',
    remedy: 'Ask a maintainer for a new link.',
  },
  'secondFactor.exists': {
    status: 409,
    title: 'You have a second factor already',
    remedy: 'Remove it first to add another.',
  },
  'secondFactor.none': {
    status: 409,
    title: 'No second factor waits for that',
    remedy: 'Add an authenticator app first.',
  },
  'person.isYourself': {
    status: 409,
    title: 'You cannot do this to yourself',
    remedy: 'Ask another maintainer.',
  },
  'person.notConfirmed': {
    status: 422,
    title: 'That is not the e-mail address of this account',
    remedy: 'Enter the address of the account to confirm.',
  },
  'person.notErasable': {
    status: 409,
    title: 'The data of this person cannot be removed',
    remedy: 'See the detail. An account can be suspended instead.',
  },
  'person.unitsHeld': {
    status: 409,
    title: 'There are control units with this person',
    remedy: 'Enter first where they went, on the page of control units.',
  },
  'openId.refused': {
    status: 401,
    title: 'The provider did not sign you in',
    remedy: 'Begin again; sign in with your password if it stays.',
  },
  'openId.unknown': {
    status: 403,
    title: 'Nobody of this club is known by that account',
    remedy: 'Use the account whose e-mail address the club knows, or ask a maintainer for an invitation.',
  },
  'openId.unreachable': {
    status: 502,
    title: 'The sign-in provider does not answer',
    remedy: 'Try again later, or sign in with your password.',
  },
  'token.invalid': {
    status: 401,
    title: 'This token is unknown, revoked or expired',
    remedy: 'Make a new one on your account page.',
  },
  'token.outOfScope': {
    status: 403,
    title: 'The token was not made for this',
    remedy: 'Make one with the scope that you need, or use the pages.',
  },
  'token.tooMany': {
    status: 409,
    title: 'You have as many tokens as allowed',
    remedy: 'Revoke one that you no longer use.',
  },
  'setup.done': { status: 409, title: 'The first maintainer exists already', remedy: 'Sign in.' },
  'invitation.invalid': {
    status: 404,
    title: 'This invitation is unknown, used or expired',
    remedy: 'Ask the maintainer for a new link.',
  },
  'person.emailTaken': {
    status: 409,
    title: 'A person with this e-mail address exists',
    remedy: 'Use another address.',
  },
} as const;
