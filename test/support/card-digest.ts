/** SHA-256 of the card for A4 with a grey stage. Renew it when the card is changed on purpose: both tests print the digest they saw. */
export const CARD_DIGEST = 'd0a52fed91172f6c973d1b41767dfe1c2ebefa1b53708a2dd8483b3a3dc07d3f';
