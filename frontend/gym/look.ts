/** Light, dark or as the device: the same cookie as the pages of the book. */
export function currentLook(): string {
  const kept = document.cookie.split("; ").find((one) => one.startsWith("look="))?.slice(5);
  return kept === "light" || kept === "dark" ? kept : "device";
}

export function useLook(look: string): void {
  document.documentElement.dataset["look"] = look;
  document.cookie = `look=${look}; path=/; max-age=31536000; samesite=strict`;
}
