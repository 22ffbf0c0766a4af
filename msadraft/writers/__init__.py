"""Writers: the numbered agreement as DOCX, HTML and plain text. They decide nothing about its content."""
