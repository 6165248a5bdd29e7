"""The nouns: frozen records of tractors, loaders, attachments, parts, work, inquiries, the shelf."""
