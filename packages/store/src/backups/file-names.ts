export const DATABASE_NAME = 'syncline.db';
/** Made and read by the server; a backup takes it along. */
export const SIGNING_KEY_NAME = 'signing-key.pem';
