/** SHA-256 of the card for A4 with a grey stage. Renew it when the card is changed on purpose: both tests print the digest they saw. */
export const CARD_DIGEST = 'da8c747d8913156d4ac0b78f9296d94405f3e825816333cb8603f0616694a76a';
