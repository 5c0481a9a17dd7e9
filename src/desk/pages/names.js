// Files as people call them.

/** @param {string} file */
export function plain(file) {
  return file.replace(/\.pdf$/, "").replaceAll("-", " ");
}
