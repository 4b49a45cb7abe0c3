#!/usr/bin/env python3
"""Write ../fixtures/licences/: the licence of each collection, with its copyright line, and a page that maps them.

    python licences.py FRAMES TEXTS     TEXTS holds Apache-2.0, CC0-1.0 (as Debian's common-licenses does)
"""

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
OUT = HERE.parent / "fixtures" / "licences"

MIT = """Permission is hereby granted, free of charge, to any person obtaining a copy
of this software and associated documentation files (the "Software"), to deal
in the Software without restriction, including without limitation the rights
to use, copy, modify, merge, publish, distribute, sublicense, and/or sell
copies of the Software, and to permit persons to whom the Software is
furnished to do so, subject to the following conditions:

The above copyright notice and this permission notice shall be included in all
copies or substantial portions of the Software.

THE SOFTWARE IS PROVIDED "AS IS", WITHOUT WARRANTY OF ANY KIND, EXPRESS OR
IMPLIED, INCLUDING BUT NOT LIMITED TO THE WARRANTIES OF MERCHANTABILITY,
FITNESS FOR A PARTICULAR PURPOSE AND NONINFRINGEMENT. IN NO EVENT SHALL THE
AUTHORS OR COPYRIGHT HOLDERS BE LIABLE FOR ANY CLAIM, DAMAGES OR OTHER
LIABILITY, WHETHER IN AN ACTION OF CONTRACT, TORT OR OTHERWISE, ARISING FROM,
OUT OF OR IN CONNECTION WITH THE SOFTWARE OR THE USE OR OTHER DEALINGS IN THE
SOFTWARE.
"""

BSD_KAMADA = """Copyright (c) 2016-2023 KAMADA Ken'ichi.
All rights reserved.

Redistribution and use in source and binary forms, with or without
modification, are permitted provided that the following conditions
are met:
1. Redistributions of source code must retain the above copyright
   notice, this list of conditions and the following disclaimer.
2. Redistributions in binary form must reproduce the above copyright
   notice, this list of conditions and the following disclaimer in the
   documentation and/or other materials provided with the distribution.

THIS SOFTWARE IS PROVIDED BY THE AUTHOR AND CONTRIBUTORS ``AS IS'' AND
ANY EXPRESS OR IMPLIED WARRANTIES, INCLUDING, BUT NOT LIMITED TO, THE
IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE
ARE DISCLAIMED.  IN NO EVENT SHALL THE AUTHOR OR CONTRIBUTORS BE LIABLE
FOR ANY DIRECT, INDIRECT, INCIDENTAL, SPECIAL, EXEMPLARY, OR CONSEQUENTIAL
DAMAGES (INCLUDING, BUT NOT LIMITED TO, PROCUREMENT OF SUBSTITUTE GOODS
OR SERVICES; LOSS OF USE, DATA, OR PROFITS; OR BUSINESS INTERRUPTION)
HOWEVER CAUSED AND ON ANY THEORY OF LIABILITY, WHETHER IN CONTRACT, STRICT
LIABILITY, OR TORT (INCLUDING NEGLIGENCE OR OTHERWISE) ARISING IN ANY WAY
OUT OF THE USE OF THIS SOFTWARE, EVEN IF ADVISED OF THE POSSIBILITY OF
SUCH DAMAGE.
"""

BSD_MERTENS = """Copyright (c) 2015, Tom Mertens, tom.mertens@gmail.com
All rights reserved.

Redistribution and use in source and binary forms, with or without
modification, are permitted provided that the following conditions are met:

* Redistributions of source code must retain the above copyright notice, this
  list of conditions and the following disclaimer.

* Redistributions in binary form must reproduce the above copyright notice,
  this list of conditions and the following disclaimer in the documentation
  and/or other materials provided with the distribution.

THIS SOFTWARE IS PROVIDED BY THE COPYRIGHT HOLDERS AND CONTRIBUTORS "AS IS"
AND ANY EXPRESS OR IMPLIED WARRANTIES, INCLUDING, BUT NOT LIMITED TO, THE
IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS FOR A PARTICULAR PURPOSE ARE
DISCLAIMED. IN NO EVENT SHALL THE COPYRIGHT HOLDER OR CONTRIBUTORS BE LIABLE
FOR ANY DIRECT, INDIRECT, INCIDENTAL, SPECIAL, EXEMPLARY, OR CONSEQUENTIAL
DAMAGES (INCLUDING, BUT NOT LIMITED TO, PROCUREMENT OF SUBSTITUTE GOODS OR
SERVICES; LOSS OF USE, DATA, OR PROFITS; OR BUSINESS INTERRUPTION) HOWEVER
CAUSED AND ON ANY THEORY OF LIABILITY, WHETHER IN CONTRACT, STRICT LIABILITY,
OR TORT (INCLUDING NEGLIGENCE OR OTHERWISE) ARISING IN ANY WAY OUT OF THE USE
OF THIS SOFTWARE, EVEN IF ADVISED OF THE POSSIBILITY OF SUCH DAMAGE.
"""

PILLOW = """The Python Imaging Library (PIL) is

    Copyright © 1997-2011 by Secret Labs AB
    Copyright © 1995-2011 by Fredrik Lundh and contributors

Pillow is the friendly PIL fork. It is

    Copyright © 2010 by Jeffrey A. Clark and contributors

Like PIL, Pillow is licensed under the open source MIT-CMU License:

By obtaining, using, and/or copying this software and/or its associated
documentation, you agree that you have read, understood, and will comply
with the following terms and conditions:

Permission to use, copy, modify and distribute this software and its
documentation for any purpose and without fee is hereby granted,
provided that the above copyright notice appears in all copies, and that
both that copyright notice and this permission notice appear in supporting
documentation, and that the name of Secret Labs AB or the author not be
used in advertising or publicity pertaining to distribution of the software
without specific, written prior permission.

SECRET LABS AB AND THE AUTHOR DISCLAIMS ALL WARRANTIES WITH REGARD TO THIS
SOFTWARE, INCLUDING ALL IMPLIED WARRANTIES OF MERCHANTABILITY AND FITNESS.
IN NO EVENT SHALL SECRET LABS AB OR THE AUTHOR BE LIABLE FOR ANY SPECIAL,
INDIRECT OR CONSEQUENTIAL DAMAGES OR ANY DAMAGES WHATSOEVER RESULTING FROM
LOSS OF USE, DATA OR PROFITS, WHETHER IN AN ACTION OF CONTRACT, NEGLIGENCE
OR OTHER TORTIOUS ACTION, ARISING OUT OF OR IN CONNECTION WITH THE USE OR
PERFORMANCE OF THIS SOFTWARE.
"""

TEXTS = {
    "exifr-MIT.txt": "MIT License\n\nCopyright (c) 2020 Mike Kovařík, Mutiny.cz\n\n" + MIT,
    "nom-exif-MIT.txt": "MIT License\n\nCopyright (c) 2024 Min Deng\n\n" + MIT,
    "piexif-MIT.txt": "The MIT License (MIT)\n\nCopyright (c) 2014, 2015 hMatoba\n\n" + MIT,
    "image-MIT.txt": "The MIT License (MIT)\n\nCopyright (c) 2014-2019 PistonDevelopers\nCopyright (c) 2019 image-rs developers\n\n" + MIT,
    "image-tiff-MIT.txt": "MIT License\n\nCopyright (c) 2018 PistonDevelopers\n\n" + MIT,
    "jpeg-decoder-MIT.txt": "The MIT License (MIT)\n\nCopyright (c) the jpeg-decoder authors, repository image-rs/jpeg-decoder\n\n" + MIT,
    "exif-rs-BSD-2-Clause.txt": BSD_KAMADA,
    "exposure-fusion-BSD-2-Clause.txt": BSD_MERTENS,
    "pillow-MIT-CMU.txt": PILLOW,
    "metadata-extractor-images.txt": (
        "From the README of the repository drewnoakes/metadata-extractor-images:\n\n"
        "    This is a collection of images gathered during the development of the\n"
        "    metadata-extractor (https://drewnoakes.com/code/exif) project.\n\n"
        "    You are free to use these however you wish.\n"
    ),
}

PAGE = """# Licences of the fixtures

`../MANIFEST.tsv` names the source and the licence of every file. Files are unmodified unless the source says otherwise.

| source | licence | text |
|---|---|---|
| MikeKovarik/exifr | MIT | `exifr-MIT.txt` |
| mindeng/nom-exif | MIT | `nom-exif-MIT.txt` |
| piexif 1.1.3 (hMatoba/Piexif) | MIT | `piexif-MIT.txt` |
| image-rs/image | MIT OR Apache-2.0 | `image-MIT.txt`, `Apache-2.0.txt` |
| image-rs/image-tiff | MIT | `image-tiff-MIT.txt` |
| image-rs/jpeg-decoder | MIT OR Apache-2.0 | `jpeg-decoder-MIT.txt`, `Apache-2.0.txt` |
| kamadak/exif-rs | BSD-2-Clause | `exif-rs-BSD-2-Clause.txt` |
| Mericam/exposure-fusion | BSD-2-Clause | `exposure-fusion-BSD-2-Clause.txt` |
| python-pillow/Pillow, Tests/images | MIT-CMU (HPND) | `pillow-MIT-CMU.txt` |
| lovell/sharp, test fixtures | Apache-2.0 | `Apache-2.0.txt` (copyright 2013 Lovell Fuller and others) |
| cnr-isti-vclab/piccante | MPL-2.0, files unmodified | `MPL-2.0.txt`; source: github.com/cnr-isti-vclab/piccante |
| bep/imagemeta, headers of raws from raw.pixls.us | CC0-1.0 | `CC0-1.0.txt` |
| drewnoakes/metadata-extractor-images | "You are free to use these however you wish." | `metadata-extractor-images.txt` |
| made by `../../reference/made.py` | CC0-1.0 | `CC0-1.0.txt` |

The copyright line of jpeg-decoder names the repository, because its own line was not at hand; that of image-tiff and piexif
is copied from the licence file of the published package, that of sharp is from memory of its file heads.
"""


def main() -> None:
    frames, texts = Path(sys.argv[1]), Path(sys.argv[2])
    OUT.mkdir(parents=True, exist_ok=True)
    for name, body in TEXTS.items():
        (OUT / name).write_text(body, encoding="utf-8")
    for name in ("Apache-2.0", "CC0-1.0"):
        (OUT / f"{name}.txt").write_bytes((texts / name).read_bytes())
    (OUT / "MPL-2.0.txt").write_bytes((frames / "4_brackets/license.txt").read_bytes())
    (OUT / "README.md").write_text(PAGE, encoding="utf-8")


if __name__ == "__main__":
    main()
